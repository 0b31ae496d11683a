"""Forms: questions asked one at a time, each answered by a sentence."""
