//! Commands: arguments and progress, no computing.
