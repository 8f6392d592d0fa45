"""Parts that are already made: held, used, and told of when the plan leaves them behind."""
