"""What a felled tree becomes: logs, poles, posts, cordwood, tops; heat and the household's needs."""
