"""The description: what study.yml says, checked."""
