"""The page of facts to read: what rules lack, place by place, with an entry for each."""
