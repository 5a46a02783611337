"""The soil alone, for teaching and for proof: its properties, its flow of water, a column of it, its balance at rest."""
