"""The review of a draft: what asks for a look, what a person answers, and where that is kept."""
