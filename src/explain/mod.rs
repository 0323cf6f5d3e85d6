//! Readers of the tape.
