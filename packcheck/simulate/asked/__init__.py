"""One more measurement on a simulated build: what may be asked, and what an instrument or a pair of eyes then shows."""
