//! Reading YAML files: a node tree with places, and a decoder that collects every fault.
//!
//! A reader is one function from the root [`Item`] to its type. Whatever it asks for and does not
//! get has left a finding behind, so it goes on with the rest and gives up only at the end: all
//! faults of a file are reported in one go. Only syntax errors stop at once.
//!
//! ```
//! use pullrank::files::finding::{Findings, Severity};
//! use pullrank::files::yaml::{self, Item};
//! use pullrank::files::source::Source;
//! use pullrank::units::{LENGTH, MASS};
//!
//! struct Trailer { name: String, mass: f64, axles: i64, track: f64 }
//!
//! fn trailer(root: Item) -> Option<Trailer> {
//!     // All known keys, up front: any other is refused with the nearest of these.
//!     let mut map = root.mapping(&["name", "mass", "axles", "track"])?;
//!     let name = map.require("name", "long box").and_then(|item| item.text());
//!     let mass = map.require("mass", "640 kg").and_then(|item| item.quantity(&MASS, 50.0..=5e3));
//!     let axles = map.take("axles").and_then(|item| item.integer(1..=3)).unwrap_or(1);
//!     // Left out: filled in, and listed as assumed.
//!     let track = map.quantity_or("track", "track width", &LENGTH, 0.5..=3.0, 1.40);
//!     Some(Trailer { name: name?, mass: mass?, axles, track })
//! }
//!
//! let mut findings = Findings::new();
//! let source = Source::new("trailer.yaml", "name: long box\nmas: 900 mm\naxles: 9\n");
//! assert!(yaml::decode(source, &mut findings, trailer).is_none());
//! let said: Vec<String> = findings.of(Severity::Error).map(|f| f.text.clone()).collect();
//! assert_eq!(said, [
//!     "`mass` is missing in this file",
//!     "`mas` is not a key known here",
//!     "axles: 9 is outside 1 to 3",
//! ]);
//! ```

#[cfg(test)]
pub mod asked;
mod colons;
mod decode;
mod indents;
mod parted;
mod scalar;
mod syntax;
pub mod tree;

pub use decode::{Item, Map, decode, read};

#[cfg(test)]
mod tests;
