"""All questions about one box: the answers, the week's plan, what the ranges hang on."""
