//! The pictures of the README are what the program draws. To put them in again:
//! `UPDATE_README=1 cargo test --test main pictures`.

use std::fs;

use super::{read, root};
use crate::pages::demo;

/// Each picture with the chart that it is.
const PICTURES: [(&str, &str); 3] = [
    ("threnlow-runs.svg", "venue-1-runs.svg"),
    ("threnlow-torque.svg", "venue-1-torque.svg"),
    ("threnlow-plan.svg", "venue-1-plan.svg"),
];

#[test]
fn the_readme_shows_pictures_as_they_are_drawn() {
    let readme = read("README.md");
    for (name, chart) in PICTURES {
        assert!(readme.contains(&format!("docs/{name}")), "{name}");
        let drawn = fs::read_to_string(demo().charts().join(chart)).unwrap();
        let kept = root().join("docs").join(name);
        if std::env::var_os("UPDATE_README").is_some() {
            fs::write(kept, drawn).unwrap();
        } else {
            let kept = fs::read_to_string(kept).unwrap();
            assert!(
                kept == drawn,
                "UPDATE_README=1 cargo test --test main pictures"
            );
        }
    }
}
