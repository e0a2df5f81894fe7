"""The desk: the app in which a maker keeps orders, designs cups and makes ready what is made."""
