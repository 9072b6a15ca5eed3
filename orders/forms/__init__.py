"""The shape of orders and customers as they are typed."""
