"""What a layout draws and what a record tells, as typed parts; and the road from a file to them."""
