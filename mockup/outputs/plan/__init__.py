"""What the maker needs to make it: amounts, days, price, stock and the work sheet."""
