"""The pieces of work of a build: each looks in the store first, and makes and keeps what is missing.

A job travels to a worker process, so it holds plain values and paths only. What a job found or made comes back as plain
values too; arrays and pictures stay in the store.
"""
