//! JSON Schemas of the files people write, for editors that complete and check while typing.
//!
//! Each kind of file has types here that say which keys there are and what shape their values have;
//! the schema is derived from them. Nothing is read through them: the decoder knows ranges, units
//! and what goes with what, and tests hold the two together.

pub mod car;
pub mod study;
pub mod testday;
pub mod track;

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use schemars::{JsonSchema, Schema, SchemaGenerator, generate::SchemaSettings, json_schema};
use serde_json::{Map, Value};

use super::kind::FileKind;

/// The schema of a kind of file, as text.
pub fn text(kind: FileKind) -> String {
    format!("{:#}\n", schema(kind))
}

/// The schema of a kind of file.
pub fn schema(kind: FileKind) -> Value {
    let generator = SchemaSettings::draft07().into_generator();
    let schema = match kind {
        FileKind::Study => generator.into_root_schema_for::<study::Study>(),
        FileKind::Car => generator.into_root_schema_for::<car::Car>(),
        FileKind::TestDay => generator.into_root_schema_for::<testday::TestDay>(),
        FileKind::Track => generator.into_root_schema_for::<track::Track>(),
    };
    let mut schema = schema.to_value();
    without_null(&mut schema);
    schema
}

/// A key without a value is a fault, so that a key is left out or has one.
fn without_null(value: &mut Value) {
    match value {
        Value::Object(object) => {
            object.values_mut().for_each(without_null);
            if object.get("default") == Some(&Value::Null) {
                object.remove("default");
            }
            if let Some(Value::Array(types)) = object.get_mut("type") {
                types.retain(|one| one != "null");
                if let [only] = &types[..] {
                    let only = only.clone();
                    object.insert("type".to_owned(), only);
                }
            }
            join_single(object);
        }
        Value::Array(items) => items.iter_mut().for_each(without_null),
        _ => {}
    }
}

/// Of several shapes without the empty one, a single one stands for itself.
fn join_single(object: &mut Map<String, Value>) {
    let Some(Value::Array(shapes)) = object.get_mut("anyOf") else {
        return;
    };
    shapes.retain(|shape| shape.get("type") != Some(&Value::from("null")));
    if let [Value::Object(only)] = &shapes[..] {
        let only = only.clone();
        object.remove("anyOf");
        match only.contains_key("$ref") {
            // Beside a reference older drafts read nothing else.
            true => {
                object.insert("allOf".to_owned(), Value::from(vec![Value::Object(only)]));
            }
            false => {
                for (key, value) in only {
                    object.entry(key).or_insert(value);
                }
            }
        }
    }
}

/// A word, or a number with or without its unit.
#[derive(Debug, Clone, PartialEq)]
#[cfg_attr(test, derive(serde::Deserialize), serde(untagged))]
pub enum Scalar {
    /// `true` or `false`, which some writers of YAML make of yes and no.
    Flag(bool),
    /// A bare number.
    Number(f64),
    /// Anything else.
    Text(String),
}

impl JsonSchema for Scalar {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Scalar".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({"type": ["string", "number"]})
    }
}

/// One value, or a list of them.
#[derive(Debug, Clone, PartialEq, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(untagged)]
#[schemars(inline)]
pub enum OneOrMore<T> {
    /// One.
    One(T),
    /// A list.
    More(Vec<T>),
}

/// One value for all, or one for each name.
#[derive(Debug, Clone, PartialEq, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(untagged)]
#[schemars(inline)]
pub enum OneOrNamed<T> {
    /// One.
    One(T),
    /// By name.
    Named(BTreeMap<String, T>),
}

/// A word or number, or keys that say more.
#[derive(Debug, Clone, PartialEq, JsonSchema)]
#[cfg_attr(test, derive(serde::Deserialize))]
#[serde(untagged)]
#[schemars(inline)]
pub enum PlainOr<T> {
    /// The short form.
    Plain(Scalar),
    /// The long form.
    Keys(T),
}

/// A schema of a few words.
macro_rules! words {
    ($($name:ident: $($word:literal),+;)+) => {
        $(pub(super) fn $name(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
            schemars::json_schema!({"enum": [$($word),+]})
        })+
    };
}
use words;

words! {
    yes_no: "yes", "no", "true", "false", "on", "off", true, false;
    standards: "SAE J1349", "J1349", "SAE J607", "J607", "STD", "ISO 1585", "ISO1585", "UN R85",
        "ECE R85", "80/1269/EEC", "EEC", "DIN 70020", "DIN", "DIN 70020 dry", "JIS D 1001", "JIS",
        "none", "as read", "unknown";
}
