//! Which gear out of each corner, and where to shift.
