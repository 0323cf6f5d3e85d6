//! As much of JSON Schema as the schemas use.

use std::path::Path;

use serde_json::{Map, Number, Value};

use crate::files::finding::Findings;
use crate::files::kind::FileKind;
use crate::files::source::Source;
use crate::files::yaml::tree::{self, Node};

/// The value of a YAML text, numbers as numbers.
pub fn value_of(path: &Path, text: &str) -> Value {
    let mut found = Findings::new();
    let tree = tree::parse(&Source::new(path, text), &mut found);
    value(&tree.unwrap_or_else(|| panic!("{}", path.display())))
}

fn value(node: &Node) -> Value {
    match &node.value {
        tree::Value::Null => Value::Null,
        tree::Value::Scalar(text) => match (text.parse::<u32>(), text.parse::<f64>()) {
            (Ok(whole), _) => Value::from(whole),
            (_, Ok(number)) => Number::from_f64(number).map_or(Value::Null, Value::Number),
            _ => Value::from(text.as_str()),
        },
        tree::Value::List(items) => items.iter().map(value).collect(),
        tree::Value::Map(entries) => {
            let entries = entries
                .iter()
                .map(|entry| (entry.key.clone(), value(&entry.value)));
            Value::Object(entries.collect::<Map<String, Value>>())
        }
    }
}

/// A schema to hold values to.
pub struct Validator(Value);

impl Validator {
    /// The schema of a kind of file.
    pub fn of(kind: FileKind) -> Self {
        Self(super::schema(kind))
    }

    /// What is wrong with a value, if anything.
    pub fn fault(&self, value: &Value) -> Option<String> {
        self.check(&self.0, value, "")
    }

    fn check(&self, schema: &Value, value: &Value, place: &str) -> Option<String> {
        let Value::Object(rules) = schema else {
            return (schema == &Value::from(false)).then(|| format!("{place}: not wanted"));
        };
        rules
            .iter()
            .find_map(|(rule, wanted)| self.rule(rules, rule, wanted, value, place))
    }

    fn rule(
        &self,
        rules: &Map<String, Value>,
        rule: &str,
        wanted: &Value,
        value: &Value,
        place: &str,
    ) -> Option<String> {
        let all = |faults: &mut dyn Iterator<Item = Option<String>>| faults.flatten().next();
        let count = value.as_object().map(Map::len);
        let list = || wanted.as_array().unwrap();
        match rule {
            "$schema" | "title" | "description" | "definitions" | "format" | "default" => None,
            "$ref" => {
                let pointer = wanted.as_str().unwrap().strip_prefix('#').unwrap();
                self.check(self.0.pointer(pointer).unwrap(), value, place)
            }
            "type" => {
                let is = |kind: &Value| match kind.as_str().unwrap() {
                    "string" => value.is_string(),
                    "number" => value.is_number(),
                    "integer" => value.is_u64() || value.is_i64(),
                    "object" => value.is_object(),
                    "array" => value.is_array(),
                    other => panic!("type {other}"),
                };
                let fits = match wanted {
                    Value::Array(kinds) => kinds.iter().any(is),
                    kind => is(kind),
                };
                (!fits).then(|| format!("{place}: {value} is no {wanted}"))
            }
            "enum" => {
                (!list().contains(value)).then(|| format!("{place}: {value} not in {wanted}"))
            }
            "anyOf" => {
                let faults: Vec<Option<String>> = list()
                    .iter()
                    .map(|one| self.check(one, value, place))
                    .collect();
                match faults.iter().any(Option::is_none) {
                    true => None,
                    false => Some(faults.into_iter().flatten().collect::<Vec<_>>().join(" | ")),
                }
            }
            "allOf" => all(&mut list().iter().map(|one| self.check(one, value, place))),
            "items" => {
                let items = value.as_array()?;
                all(&mut items.iter().map(|item| self.check(wanted, item, place)))
            }
            "required" => {
                let object = value.as_object()?;
                let mut missing = list()
                    .iter()
                    .filter(|key| !object.contains_key(key.as_str().unwrap()));
                missing
                    .next()
                    .map(|key| format!("{place}: {key} is missing"))
            }
            "properties" => {
                let object = value.as_object()?;
                let known = wanted.as_object().unwrap();
                let mut inner = object.iter().filter_map(|(key, value)| {
                    let place = format!("{place}/{key}");
                    self.check(known.get(key)?, value, &place)
                });
                inner.next()
            }
            "additionalProperties" => {
                let object = value.as_object()?;
                let known = rules.get("properties").and_then(Value::as_object);
                let more = object
                    .iter()
                    .filter(|(key, _)| known.is_none_or(|known| !known.contains_key(key.as_str())));
                let mut inner = more.filter_map(|(key, value)| {
                    self.check(wanted, value, &format!("{place}/{key}"))
                });
                inner.next()
            }
            "minProperties" => {
                (count? < wanted.as_u64()? as usize).then(|| format!("{place}: few"))
            }
            "maxProperties" => {
                (count? > wanted.as_u64()? as usize).then(|| format!("{place}: many"))
            }
            "minimum" => {
                (value.as_f64()? < wanted.as_f64()?).then(|| format!("{place}: {value} is low"))
            }
            other => panic!("{place}: no rule {other} is known here"),
        }
    }
}

#[test]
fn it_finds_what_is_wrong() {
    let car = Validator::of(FileKind::Car);
    let sound = "drive: rear\nfinal_drive: 9/38\n";
    let fault = |text: &str| car.fault(&value_of(Path::new("car.yaml"), text));
    assert_eq!(fault(sound), None);
    for broken in [
        "final_drive: 9/38\n",
        "drive: sideways\nfinal_drive: 9/38\n",
        "drive: rear\nfinal_drive: [4]\n",
        "drive: rear\nfinal_drive: {teeths: 9/38}\n",
        "drive: rear\nfinal_drive: 4\nmas: 960 kg\n",
        "drive: rear\nfinal_drive: 4\nengine: {bore: 86 mm, stroke: 86 mm, cylinders: four}\n",
        "drive: rear\nfinal_drive: 4\nmass:\n",
    ] {
        assert!(fault(broken).is_some(), "{broken}");
    }
}
