"""The build sheet of one design: what to buy, cut, put up, trim and expect, on paper."""
