//! What the targets share: the readers as the tests of the main package feed them.

#[path = "../../tests/hostile/readers.rs"]
mod readers;

use readers::READERS;

/// Feeds bytes to the reader of a name.
///
/// # Panics
/// There is none, or it neither reads nor refuses them in good order.
pub fn feed(name: &str, bytes: &[u8]) {
    let reader = READERS.iter().find(|reader| reader.name == name);
    (reader.expect("a reader").read)(bytes);
}
