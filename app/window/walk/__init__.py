"""The page of the walk aboard: place by place, what was seen of what is drawn; one key an answer."""
