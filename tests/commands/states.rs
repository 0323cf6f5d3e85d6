//! Venues in states of their own, and venues that stand in a study twice.

use super::pullrank;
use super::world::World;

pub const MILL: &str = "name: Mill Lanes\nkind: stage\nsurface: tarmac\nnotes: 140 SqL 60 3R 80 4L 120 2R 90 SqR 70 \
                    3L 60 4R 160 HpL 110 3R 50 2L 90 SqL 200\n";

/// The same by the crew's own scale.
pub fn by_own_grades() -> String {
    format!(
        "{MILL}grades: {{hairpin: 28 km/h, square: 44 km/h, 2: 52 km/h, 3: 66 km/h, 4: 84 km/h, 5: 105 km/h}}\n"
    )
}

/// A command on a study with these venues and lines after them: what it prints and what it says.
pub fn told(command: &[&str], rest: &str) -> (String, String) {
    told_at(MILL, command, rest)
}

/// The same, with another track.
pub fn told_at(track: &str, command: &[&str], rest: &str) -> (String, String) {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/cars/rowan-coupe");
    let study = format!(
        "name: Autumn\ncar: {demo}/car.yaml\ntestday: {demo}/testday.yaml\nspecs: [long manifold, short \
         manifold]\ndriver: {{shift_light: 7100 rpm}}\n{rest}"
    );
    let world = World::empty()
        .write("mill.yaml", track)
        .write("study.yaml", study);
    let output = pullrank()
        .arg(command[0])
        .arg(world.path("study.yaml"))
        .args(&command[1..])
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr))
}

/// The same, without its line ends.
fn on_one_line(command: &[&str], rest: &str) -> (String, String) {
    let (out, said) = told(command, rest);
    (
        out.split_whitespace().collect::<Vec<&str>>().join(" "),
        said,
    )
}

pub const RANK: &[&str] = &["rank", "--draws", "40"];
pub const RESULTS: &[&str] = &["results", "--draws", "40"];
const WET: &str = "venues:\n  - {track: mill.yaml, trim: tarmac, conditions: {wet: 100 %}}\n";
pub const DRY: &str = "venues:\n  - {track: mill.yaml, trim: tarmac}\n";
pub const MIXED: &str =
    "venues:\n  - {track: mill.yaml, trim: tarmac, conditions: {dry: 40 %, wet: 60 %}}\n";

/// The seconds of the quickest spec in the first row of `rank --format csv`.
fn seconds(venues: &str) -> f64 {
    let (out, said) = told(&["rank", "--draws", "40", "--csv"], venues);
    let mut rows = csv::Reader::from_reader(out.as_bytes());
    let at = rows.headers().unwrap().iter().position(|h| h == "time_s");
    let at = at.unwrap_or_else(|| panic!("{out}{said}"));
    let row = rows.records().next().unwrap().unwrap();
    row[at].parse().unwrap()
}

#[test]
fn a_state_that_is_sure_is_worked_out_and_named_by_every_command() {
    // Corners taken on 0.75 of the grip cost a car of this power several percent (common practice, no source).
    let (dry, wet) = (seconds(DRY), seconds(WET));
    assert!((1.05..1.2).contains(&(wet / dry)), "{dry} {wet}");
    assert!((seconds(MIXED) - dry).abs() < 1e-9);
    for command in [
        RANK,
        &["gearing"],
        &["season", "--draws", "40"],
        &["sheet", "--draws", "40", "--venue", "mill"],
        &["rank", "--draws", "40", "--venue", "Mill Lanes"],
    ] {
        let (out, said) = told(command, WET);
        let wet = out.contains("Mill Lanes (wet)") || command[0] == "season";
        assert!(wet, "{command:?}\n{out}{said}");
        assert!(!out.contains("Shown at"), "{out}");
    }
    let result = "results:\n  - {venue: Mill Lanes, spec: short manifold, time: \"1:25.0\"}\n";
    let (out, said) = told(RESULTS, &format!("{WET}{result}"));
    assert!(
        out.contains("Mill Lanes (wet)") && said.is_empty(),
        "{out}{said}"
    );
}

#[test]
fn which_of_several_states_is_shown_is_said() {
    let line = "Shown at Mill Lanes: times in the dry; the season counts wet too, by its chance.";
    for command in [
        RANK,
        &["gearing"],
        &["gearing", "--venue", "mill"],
        &["sheet", "--draws", "40", "--venue", "mill"],
        &["rank", "--draws", "40", "--venue", "mill"],
    ] {
        let (out, said) = told(command, MIXED);
        assert!(out.contains(line), "{command:?}\n{out}{said}");
        assert!(!told(command, DRY).0.contains("Shown at"));
    }
}

/// The same road dry, and dry or wet, in either order.
fn both_ways(rest: &str) -> [String; 2] {
    let entry = |venues: &str| venues.lines().nth(1).unwrap().to_owned();
    [[DRY, MIXED], [MIXED, DRY]]
        .map(|[one, two]| format!("venues:\n{}\n{}\n{rest}", entry(one), entry(two)))
}

#[test]
fn a_result_belongs_to_the_entry_whose_conditions_fit() {
    let wet = "results:\n  - {venue: Mill Lanes, time: \"1:30.0\", conditions: wet}\n";
    for study in both_ways(wet) {
        let (out, said) = told(RESULTS, &study);
        assert!(out.contains("Mill Lanes (dry or wet), wet"), "{out}{said}");
    }
    let plain = "results:\n  - {venue: Mill Lanes, time: \"1:20.0\"}\n";
    for study in both_ways(plain) {
        let (out, said) = told(RESULTS, &study);
        assert!(
            out.contains("\nMill Lanes  ") && !said.contains("may be"),
            "{out}{said}"
        );
    }
    let frost = "results:\n  - {venue: Mill Lanes, time: \"1:20.0\", conditions: frost}\n";
    let (_, said) = told(RESULTS, &both_ways(frost)[0]);
    assert!(said.contains("there is no condition `frost`"), "{said}");
    assert!(said.contains("it has: dry, wet"), "{said}");
}

#[test]
fn a_result_in_a_state_at_a_venue_without_any_names_the_venue() {
    let venues = |conditions: &str| {
        format!(
            "venues:\n  - {{track: mill.yaml, trim: tarmac, name: Spring{conditions}}}\n  - {{track: mill.yaml, trim: \
             tarmac, name: Autumn}}\nresults:\n  - {{venue: Autumn, time: \"1:20.0\", conditions: damp}}\n"
        )
    };
    let (_, said) = told(RESULTS, &venues(", conditions: {dry: 50 %, damp: 50 %}"));
    assert!(
        said.contains(
            "study.yaml:10:49: error: there is no condition `damp` at Autumn: it has no conditions"
        ),
        "{said}"
    );
    let remedy =
        "give Autumn `conditions: {damp: …}` under `venues`, or leave `conditions` out here";
    assert!(
        said.contains(&format!("{remedy}; Spring has dry, damp\n")),
        "{said}"
    );
    let (_, said) = told(RESULTS, &venues(""));
    assert!(said.contains(&format!("{remedy}\n")), "{said}");
}

#[test]
fn entries_of_one_venue_have_names_of_their_own() {
    let study = &both_ways("")[0];
    let (out, _) = on_one_line(RANK, study);
    assert!(
        out.contains("Mill Lanes and Mill Lanes (dry or wet)"),
        "{out}"
    );
    let (_, said) = told(&["rank", "--draws", "40", "--venue", "mill"], study);
    assert!(
        said.contains("(known: Mill Lanes, Mill Lanes (dry or wet))"),
        "{said}"
    );
    let (out, said) = told(&["rank", "--draws", "40", "--venue", "dry or wet"], study);
    assert!(
        out.starts_with("Mill Lanes (dry or wet): stage"),
        "{out}{said}"
    );
    let twice =
        "venues:\n  - {track: mill.yaml, trim: tarmac}\n  - {track: mill.yaml, trim: tarmac}\n";
    let (out, _) = on_one_line(RANK, twice);
    assert!(out.contains("Mill Lanes and Mill Lanes (2)"), "{out}");
    let misspelt = "results:\n  - {venue: Mill Lane, time: \"1:20.0\"}\n";
    let (_, said) = told(RESULTS, &format!("{twice}{misspelt}"));
    assert!(said.contains("did you mean `Mill Lanes`?"), "{said}");
}

#[test]
fn a_study_gives_its_venues_names() {
    let named = "venues:\n  - {track: mill.yaml, trim: tarmac, name: Saturday}\n  - {track: mill.yaml, trim: tarmac, \
                 name: Sunday, conditions: {wet: 100 %}}\n";
    let result = "results:\n  - {venue: Saturday, time: \"1:20.0\"}\n  - {venue: Mill Lanes, time: \"1:30.0\", \
                  conditions: wet}\n";
    let (out, said) = told(RESULTS, &format!("{named}{result}"));
    assert!(
        out.contains("\nSaturday ") && out.contains("\nSunday (wet) "),
        "{out}{said}"
    );
    assert!(!said.contains("twice"), "{said}");
    let (_, said) = told(RANK, &named.replace("Sunday", "saturday"));
    assert!(
        said.contains("error: name: two venues of the study are called `saturday`"),
        "{said}"
    );
}

#[test]
fn a_run_without_a_time_is_left_out() {
    for word in ["DNF", "DNS", "retired", "\"-\""] {
        let result = format!("results:\n  - {{venue: Mill Lanes, time: {word}}}\n");
        let (_, said) = told(RESULTS, &format!("{DRY}{result}"));
        assert!(said.contains("is no time"), "{said}");
        let remedy = "leave out a run without a time; a time is written `\"4:41.0\"`";
        assert!(said.contains(remedy), "{said}");
    }
}

#[test]
fn a_road_that_is_always_wet_is_wet_once() {
    let track = MILL.replace("surface: tarmac", "surface: wet tarmac");
    let always_wet = |rest: &str| told_at(&track, RESULTS, rest);
    let result = "results:\n  - {venue: Mill Lanes, time: \"1:25.0\", conditions: wet}\n";
    let (_, said) = always_wet(&format!("{WET}{result}"));
    assert!(
        said.contains("warning: Mill Lanes: the surface `wet tarmac` is wet already"),
        "{said}"
    );
    let (out, said) = always_wet(&format!("{DRY}{result}"));
    assert!(
        out.contains("\nMill Lanes  ") && said.is_empty(),
        "{out}{said}"
    );
    let (_, said) = always_wet(&format!("{DRY}{}", result.replace("wet}", "damp}")));
    assert!(said.contains("there is no condition `damp`"), "{said}");
}

#[test]
fn a_result_is_found_by_what_the_study_calls_its_venue() {
    let venues = "venues:\n  - {track: mill.yaml, trim: tarmac, name: Spring, conditions: {wet: 100 %}}\n  - {track: \
                  mill.yaml, trim: tarmac, name: Autumn}\n";
    for name in ["Spring", "Spring (wet)"] {
        let result = format!("results:\n  - {{venue: {name}, time: \"1:25.0\"}}\n");
        let (out, said) = told(RESULTS, &format!("{venues}{result}"));
        assert!(
            out.contains("\nSpring (wet) ") && said.is_empty(),
            "{out}{said}"
        );
    }
    let (out, said) = told(&["rank", "--draws", "40", "--venue", "spring"], venues);
    assert!(out.starts_with("Spring (wet): stage"), "{out}{said}");
}

#[test]
fn capitals_part_no_venues_of_results() {
    let result = |name: &str| format!("results:\n  - {{venue: {name}, time: \"1:20.0\"}}\n");
    let (out, said) = told(RESULTS, &format!("{DRY}{}", result("mill lanes")));
    assert!(
        out.contains("\nMill Lanes ") && said.is_empty(),
        "{out}{said}"
    );
}

#[test]
fn a_result_that_may_be_of_either_trim_is_asked_about() {
    let venues =
        "venues:\n  - {track: mill.yaml, trim: tarmac}\n  - {track: mill.yaml, trim: circuit}\n";
    let result =
        |name: &str| format!("{venues}results:\n  - {{venue: {name}, time: \"1:20.0\"}}\n");
    let (_, said) = told(RESULTS, &result("Mill Lanes"));
    let text = "warning: `Mill Lanes` may be `Mill Lanes (tarmac trim)` or `Mill Lanes (circuit trim)`: taken for the former";
    assert!(said.contains(text), "{said}");
    let (out, said) = told(RESULTS, &result("Mill Lanes (circuit trim)"));
    assert!(
        out.contains("\nMill Lanes (circuit trim) ") && said.is_empty(),
        "{out}{said}"
    );
}

/// Corners by the crew's own scale have speeds of their own: another share in the study moves none of them.
#[test]
fn a_result_where_corners_have_speeds_asks_for_a_known_time_that_gives_it_back() {
    let result = "results:\n  - {venue: Mill Lanes, spec: short manifold, time: \"1:25.0\"}\n";
    let study = format!("{DRY}{result}");
    let known = "known: {time: \"1:25.0\", spec: short manifold}";
    let own = by_own_grades();
    let (out, said) = told_at(&own, RESULTS, &study);
    let out = out.split_whitespace().collect::<Vec<&str>>().join(" ");
    assert!(
        out.contains(&format!("write `{known}` into its track")),
        "{out}{said}"
    );
    assert!(!out.contains("write `corner_share"), "{out}");
    assert!(
        out.contains("write the known times into the tracks"),
        "{out}"
    );
    let track = format!("{own}{known}\n");
    let (out, said) = told_at(&track, RESULTS, &study);
    assert!(
        out.matches("1:25.0").count() > 1 && !out.contains("write `"),
        "{out}{said}"
    );
    let (out, _) = told_at(&track, RANK, DRY);
    assert!(out.contains("of the corner speeds it gives"), "{out}");
    // By the usual scale they are nobody's, and move with the share.
    let (out, said) = on_one_line(RESULTS, &study);
    assert!(
        out.contains("write `corner_share: {stage: 87 %}`"),
        "{out}{said}"
    );
    // Another time is set against the known one.
    let other = study.replace("1:25.0", "1:24.0");
    let (out, _) = told_at(&track, RESULTS, &other);
    assert!(out.contains("its `known` time settles"), "{out}");
}
