//! Integration tests, one binary.

mod published;
