"""Speed, as ratios measured within one run: `python -m tests.bench [terminal] [batch] [memory] [http]`."""
