//! Whatever is in a file: it is read or refused, with a place and in good time.

mod mutate;
mod readers;
mod sweep;
