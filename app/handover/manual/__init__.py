"""The electrical page of the owner's manual: sections in plain language, each made from the drawing."""
