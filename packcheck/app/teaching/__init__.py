"""What the lessons and the coverage of a layout look like: pages and text for trainer and engineer."""
