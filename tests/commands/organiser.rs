//! The length that an organiser states.

use super::loggers::told;
use super::pullrank;
use super::roads::venue;
use super::world::World;

/// What `check` says of the track.
fn said(world: &World) -> String {
    let output = pullrank()
        .arg("check")
        .arg(world.path("track.yaml"))
        .output()
        .unwrap();
    format!(
        "{}{}",
        world.said(&output.stdout),
        world.said(&output.stderr)
    )
}

fn stated(length: &str) -> String {
    let line = format!("kind: stage\nlength: {length}");
    said(&World::new().edit("track.yaml", "kind: stage", &line))
}

/// 140 m, a quarter of a circle of 30 m, 90 m: 277 m.
#[test]
fn a_stated_length_is_compared_with_the_road() {
    for same in ["277 m", "0.28 km", "271 m", "0.172 mi"] {
        assert!(
            !stated(same).contains("warning"),
            "{same}: {}",
            stated(same)
        );
    }
    for (other, why) in [
        ("0.17 km", "are these miles? write `length: 0.17 mi`"),
        ("0.45 km", "are the lengths of the road miles"),
        (
            "200 m",
            "does the road as read begin before the start, or go on beyond the finish? check `pieces`",
        ),
        (
            "400 m",
            "has it another start or finish, or is a part of the road missing?",
        ),
    ] {
        let text = stated(other);
        assert!(
            text.contains("warning: the road as read is 0.28 km long, and `length` says"),
            "{text}"
        );
        assert!(text.contains(why), "{text}");
    }
    let sketch = World::new().write(
        "track.yaml",
        "name: Mill Lane\nkind: stage\nsurface: tarmac\nlength: 2 km\nsketch: {length: 2 km, hairpins: 2, squares: 4}\n",
    );
    assert!(
        said(&sketch).contains("keep the `length` in `sketch` alone"),
        "{}",
        said(&sketch)
    );
}

/// Steps of a ten-thousandth of a degree on a bending road at 61° north, the headings right or changed over.
fn recorded(headings: &str) -> String {
    let rows = (0..120).map(|i| {
        let at = f64::from(i);
        format!(
            "{:.6},{:.6}\n",
            61.0 + 0.0006 * (at / 20.0).sin(),
            9.0 + 0.0003 * at
        )
    });
    format!("{headings}\n{}", rows.collect::<String>())
}

#[test]
fn latitude_and_longitude_changed_over_are_told_by_the_length() {
    let track = |length: &str| {
        format!(
            "name: Mill Lane\nkind: hillclimb\nsurface: tarmac\nlength: {length}\npath: road.csv\n"
        )
    };
    let world = |headings: &str, length: &str| {
        World::new()
            .write("road.csv", recorded(headings))
            .write("track.yaml", track(length))
    };
    let right = said(&world("lat,lon", "1.98 km"));
    assert!(!right.contains("`length` says"), "{right}");
    let changed = said(&world("lon,lat", "1.98 km"));
    assert!(
        changed.contains("with latitude and longitude changed over it is 1.9")
            && changed.contains("change their headings over"),
        "{changed}"
    );
    let longer = said(&world("lat,lon", "1.5 km"));
    assert!(
        longer.contains("cut it with `path: {file: …, from: …, to: …}`"),
        "{longer}"
    );
}

/// A triangle with equal sides turns by 120° at each corner; its roads meet at 60°.
#[test]
fn angles_between_roads_are_asked_about() {
    let plan = |turn: u32| {
        let corner = format!("  - corner: {{radius: 20 m, turn: {turn} deg, direction: left}}\n");
        let pieces = format!("  - straight: 300 m\n{corner}").repeat(3);
        venue(&format!("pieces:\n{pieces}")).edit("track.yaml", "kind: stage", "kind: circuit")
    };
    let said = told(&plan(60));
    assert!(
        said.contains(
            "turn 180° to the left in all, and 360° if each turns by 180° less the angle written"
        ) && said.contains("write 180° less each as its `turn`"),
        "{said}"
    );
    assert!(!told(&plan(120)).contains("in all"));
    let said = told(&plan(100));
    assert!(
        said.contains("a loop turns 360° in all") && !said.contains("less"),
        "{said}"
    );
}
