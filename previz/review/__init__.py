"""A served review: each reviewer has a link of their own, and what they decide is not lost.

`store` keeps invitations and decisions, `recorder` writes them down before they are acknowledged,
`gallery` knows what was shown, `guard` who gets in, `patience` how long anybody may take, `server`
answers, `serving` holds it all together.
"""
