//! The plan and its results as files for others: bytes out.
