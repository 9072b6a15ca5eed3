"""The pages of orders, their lines and customers."""
