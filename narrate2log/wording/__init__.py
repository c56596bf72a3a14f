"""Trade words: what people say for each thing, and what they did not mean by it."""
