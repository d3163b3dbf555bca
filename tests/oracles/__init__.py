"""Laws that only tests need: other ways to what the product works out, to hold it against."""
