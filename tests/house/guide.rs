//! What the guide tells can be done: its files are written and its commands run, one after the other, in a
//! folder with two folders of pulls, and its outputs are what is printed. To put them in again:
//! `UPDATE_README=1 cargo test --test main guide`.

use std::fs;

use super::readme::{hold, renewed};
use super::{read, root};
use crate::commands::world::World;

/// What the reader has: pulls of the demo coupe, as a dyno would hand them out.
const PULLS: [(&str, usize); 2] = [("long", 5), ("short", 3)];

#[test]
fn the_guide_does_what_it_tells() {
    let world = World::empty();
    for (name, count) in PULLS {
        fs::create_dir(world.path(name)).unwrap();
        for n in 1..=count {
            let pull = root().join(format!("cars/rowan-coupe/pulls/{name}-{n}.csv"));
            fs::copy(pull, world.path(&format!("{name}/pull-{n}.csv"))).unwrap();
        }
    }
    let (renewed, shown) = renewed(&read("docs/guide.md"), &world.path(""));
    assert!(shown > 10, "the guide runs {shown} commands");
    hold("docs/guide.md", &renewed);
}
