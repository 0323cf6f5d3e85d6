//! JSON for other programs: every answer carries the version of its shape.
//!
//! Names end in their unit. A field that has no value is null. Fields may be added at any time; a
//! field removed or changed raises [`SCHEMA`].

use serde::Serialize;

/// Version of the shape of all JSON answers.
pub const SCHEMA: u32 = 1;

#[derive(Serialize)]
struct Envelope<'a, T: Serialize> {
    schema: u32,
    program: &'a str,
    answer: &'a str,
    #[serde(flatten)]
    body: &'a T,
}

/// An answer as JSON, indented, with a line end.
pub fn document(answer: &str, body: &impl Serialize) -> String {
    let program = concat!("pullrank ", env!("CARGO_PKG_VERSION"));
    let envelope = Envelope {
        schema: SCHEMA,
        program,
        answer,
        body,
    };
    // Own types with string keys cannot fail to serialise; numbers that are not finite become null.
    let mut text = serde_json::to_string_pretty(&envelope).unwrap_or_default();
    text.push('\n');
    text
}
