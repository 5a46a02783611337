"""From a description to raw series: arrays (layout), the soil clock (column), the air clock (air), the run."""
