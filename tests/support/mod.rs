//! Textbook cars and courses, put together through the public API alone.

pub mod books;
pub mod cars;
pub mod demo;
pub mod held;
pub mod oracle;
pub mod packed;
pub mod random;
pub mod roads;
pub mod runs;
pub mod sample;
pub mod units;
