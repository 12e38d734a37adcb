"""What a build makes: one file a product, one table."""
