//! All integration tests in one binary, so that the crate is linked once.

mod commands;
mod properties;
mod demo;
mod published;
mod support;
