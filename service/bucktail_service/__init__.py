"""The fastener desk as a stateless service: questions in, answers from versioned tables out."""
