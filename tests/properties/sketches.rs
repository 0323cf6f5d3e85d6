//! A road counted into a sketch: the roads that the sketch may be lie around the true one.

use pullrank::files::finding::Findings;
use pullrank::files::source::Source;
use pullrank::files::track;
use pullrank::venue::Course;
use pullrank::venue::character::character;

use super::recordings::{World, read};

/// Corners of a road by how fast they are, as somebody would count them by the usual scale of grades: bounds
/// in km/h, between its speeds.
const CLASSES: [(&str, f64); 5] = [
    ("hairpin", 36.0),
    ("square", 55.0),
    ("3", 75.0),
    ("4", 95.0),
    ("5", 999.0),
];

/// The sketch of a road: its length, and its corners in classes, each with its usual speed and angle.
fn counted(road: &Course) -> String {
    let character = character(road);
    let mut grades = String::new();
    let mut counts = String::new();
    let mut slowest = 0.0;
    for (name, fastest) in CLASSES {
        let within = |v: f64| v * 3.6 >= slowest && v * 3.6 < fastest;
        let those: Vec<_> = character
            .corners
            .iter()
            .filter(|c| within(c.speed))
            .collect();
        slowest = fastest;
        if those.is_empty() {
            continue;
        }
        let mean = |of: fn(&pullrank::venue::character::Corner) -> f64| {
            those.iter().map(|c| of(c)).sum::<f64>() / those.len() as f64
        };
        let (speed, turn) = (3.6 * mean(|c| c.speed), mean(|c| c.turned).to_degrees());
        grades.push_str(&format!(
            "{name}: {{apex: {speed:.0} km/h, turn: {turn:.0} deg}}, "
        ));
        counts.push_str(&format!("{name}: {}, ", those.len()));
    }
    let length = (character.length / 10.0).round() * 10.0;
    let longest = character.longest().unwrap().length;
    let surface = &road.surfaces[0];
    format!(
        "name: counted\nkind: stage\nsurface: {0}\nsurfaces: {{{0}: {{like: {1}, factor: {2}}}}}\n\
         grades: {{{grades}}}\nsketch: {{length: {length} m, corners: {{{counts}}}, \
         longest_straight: {longest:.0} m, rolling: 4 %}}\n",
        surface.name, surface.like, surface.factor
    )
}

#[test]
fn the_roads_of_a_sketch_bracket_the_road_it_was_counted_from() {
    let world = World::new();
    for name in [
        "tracks/threnlow-lanes.yaml",
        "examples/roads/quessmoor.yaml",
    ] {
        let mut road = read(name);
        road.sections
            .iter_mut()
            .for_each(|s| (s.cap, s.surface) = (None, 0));
        let truth = world.drive(&road).time;
        let text = counted(&road);
        let mut findings = Findings::new();
        let sketch = track::decode(
            Source::new("track.yaml", text.as_str()),
            None,
            &mut findings,
        );
        let sketch = sketch.unwrap_or_else(|| panic!("{text}\n{findings:?}"));
        let sketch = world.laid_out(&sketch);
        let mut times: Vec<f64> = (0..40)
            .map(|number| world.drive(&sketch.shuffled(1, number).unwrap()).time)
            .collect();
        times.sort_by(f64::total_cmp);
        let percent = |t: f64| 100.0 * (t / truth - 1.0);
        println!(
            "{name}: roads of its sketch take {:+.1} to {:+.1} %, {:+.1} % in the middle",
            percent(times[0]),
            percent(times[39]),
            percent(times[20])
        );
        let (quickest, slowest) = (percent(times[0]), percent(times[39]));
        assert!(
            quickest < 0.0 && slowest > 0.0,
            "{name}: {quickest} to {slowest} %"
        );
        assert!(percent(times[20]).abs() < 3.0, "{name}");
        // As long as was counted, whatever the grip of the car.
        let length = sketch.known_length() / road.known_length() - 1.0;
        assert!(length.abs() < 2e-3, "{name}: {length}");
    }
}

#[test]
fn roads_are_the_same_for_the_same_number_and_others_for_others() {
    let text = counted(&read("tracks/threnlow-lanes.yaml"));
    let sketch = track::decode(Source::new("track.yaml", text), None, &mut Findings::new());
    let sketch = sketch.unwrap();
    assert_eq!(sketch.shuffled(1, 7), sketch.shuffled(1, 7));
    assert_ne!(sketch.shuffled(1, 7), sketch.shuffled(1, 8));
    assert_eq!(sketch.shuffled(1, 0).unwrap().sections, sketch.sections);
}
