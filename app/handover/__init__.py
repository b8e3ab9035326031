"""The hand-over pack: what owner, yard, surveyor, insurer and crew hold in their hands."""
