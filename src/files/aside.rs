//! Why something that was measured does not count.

use super::yaml::Item;

/// The reason, of a pull or a result; a word that denies is a fault, as whatever is written sets `what` aside.
pub fn set_aside(item: &Item, what: &str) -> Option<String> {
    let why = item.text()?;
    if ["no", "false", "off", "n"].contains(&why.to_lowercase().as_str()) {
        item.error(
            format!("set_aside: `{why}`, and whatever is written here sets the {what} aside"),
            format!("take the line out where the {what} counts, else write why it does not"),
        );
        return None;
    }
    Some(why)
}
