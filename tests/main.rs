//! All integration tests in one binary, so that the crate is linked once.

mod calibration;
mod commands;
mod demo;
mod hostile;
mod house;
mod pages;
mod properties;
mod published;
mod support;
