//! Times done: what results and known times say of grip, driver and files.

use super::states::{DRY, MILL, MIXED, RANK, RESULTS, by_own_grades, told, told_at};
use super::world::World;
use super::{json, one_line, pullrank};

/// The time predicted with long manifold where the wet has this much of the grip in the dry.
fn in_the_wet(factor: f64) -> f64 {
    let wet = format!("wet: {{chance: 60 %, factor: {factor}}}");
    let study = MIXED.replace("wet: 60 %", &wet);
    let result = "results:\n  - {venue: Mill Lanes, spec: long manifold, time: \"1:30.0\", conditions: wet}\n";
    let (out, said) = told_at(
        &by_own_grades(),
        &["results", "--draws", "40", "--json"],
        &format!("{study}{result}"),
    );
    let out: serde_json::Value = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{said}"));
    out["results"][0]["predicted_s"].as_f64().unwrap()
}

/// The corners of notes have the driver's speeds in the dry: a time in the wet says how much grip is left.
#[test]
fn a_result_in_the_wet_says_the_grip_of_the_wet_and_leaves_the_dry_alone() {
    let time = in_the_wet(0.66);
    let result = format!(
        "results:\n  - {{venue: Mill Lanes, spec: long manifold, time: {time:.2} s, conditions: wet}}\n"
    );
    let study = format!("{MIXED}{result}");
    let (out, _) = told_at(
        &by_own_grades(),
        &["results", "--draws", "40", "--json"],
        &study,
    );
    let found: serde_json::Value = serde_json::from_str(&out).unwrap();
    let grip = found["results"][0]["grip_factor"].as_f64().unwrap();
    assert!((grip - 0.66).abs() < 0.003, "{grip}");
    let out = one_line(&told_at(&by_own_grades(), RESULTS, &study).0);
    let write = "write `conditions: {dry: 40 %, wet: {chance: 60 %, factor: 0.66}}`";
    assert!(
        out.contains("0.75 was assumed") && out.contains(write),
        "{out}"
    );
    assert!(
        !out.contains("known:") && !out.contains("known times"),
        "{out}"
    );
    // Where somebody wrote the grip the driver is as likely.
    let written = study.replace("wet: 60 %", "wet: {chance: 60 %, factor: 0.75}");
    let out = one_line(&told_at(&by_own_grades(), RESULTS, &written).0);
    assert!(out.contains("either the driver cornered at 9"), "{out}");
    // As it is predicted there is nothing to say.
    let right = study.replace("wet: 60 %", "wet: {chance: 60 %, factor: 0.66}");
    let out = one_line(&told_at(&by_own_grades(), RESULTS, &right).0);
    assert!(!out.contains("write `"), "{out}");
}

#[test]
fn a_known_time_in_the_wet_beside_speeds_of_the_dry_says_the_grip_of_the_wet() {
    let (time, own) = (in_the_wet(0.66), by_own_grades());
    let track =
        format!("{own}known: {{time: {time:.2} s, spec: long manifold, conditions: wet}}\n");
    let out = one_line(&told_at(&track, RANK, DRY).0);
    let wanted = "or the wet has 0.66 of the grip in the dry in place of 0.75";
    assert!(out.contains(wanted), "{out}");
    assert!(
        out.contains(
            "`conditions: {dry: 100 %, wet: {chance: 0 %, factor: 0.66}}` without `known`"
        ),
        "{out}"
    );
    // A result in the dry beside it takes its place, and makes a result of it.
    let dry = format!(
        "{DRY}results:\n  - {{venue: Mill Lanes, spec: long manifold, time: \"1:22.0\"}}\n"
    );
    let out = one_line(&told_at(&track, RESULTS, &dry).0);
    assert!(
        out.contains("its `known` time was done in the wet"),
        "{out}"
    );
    // A known time of the dry is not moved by the wet.
    let track = format!("{own}known: {{time: \"1:22.0\", spec: long manifold}}\n");
    let wet = format!(
        "{MIXED}results:\n  - {{venue: Mill Lanes, spec: long manifold, time: \"1:36.0\", conditions: wet}}\n"
    );
    let out = one_line(&told_at(&track, RESULTS, &wet).0);
    assert!(
        out.contains("factor: 0.") && !out.contains("in its place"),
        "{out}"
    );
}

#[test]
fn minutes_read_as_hours_are_asked_about() {
    let result = |time: &str| {
        format!("{DRY}results:\n  - {{venue: Mill Lanes, spec: long manifold, time: \"{time}\"}}\n")
    };
    let (out, said) = told(RESULTS, &result("01:25:00"));
    assert!(
        said.contains("warning: 1 h 25 min for the ") && said.contains("write `time: \"1:25.0\"`"),
        "{said}"
    );
    let out = one_line(&out);
    assert!(
        out.contains("minutes and seconds, read as hours and minutes? Write `1:25.0`."),
        "{out}"
    );
    let (out, said) = told(RESULTS, &result("1:25.0"));
    assert!(said.is_empty() && !out.contains("hours"), "{out}{said}");
    // A known time in a track too.
    let track = format!("{MILL}known: {{time: \"01:25:00\", spec: long manifold}}\n");
    let (_, said) = told_at(&track, RANK, DRY);
    assert!(
        said.contains("minutes and seconds? write `time: \"1:25.0\"`"),
        "{said}"
    );
}

#[test]
fn runs_that_no_driving_gives_are_told_apart() {
    let results = format!(
        "{DRY}results:\n  - {{venue: Mill Lanes, spec: long manifold, time: \"1:41.2\"}}\n  \
         - {{venue: Mill Lanes, spec: short manifold, time: \"1:52.0\"}}\n"
    );
    let out = one_line(&told(RESULTS, &results).0);
    for run in [
        "Mill Lanes, 1:41.2 with long manifold: slower",
        "Mill Lanes, 1:52.0 with short manifold: slower",
    ] {
        assert!(out.contains(run), "{out}");
    }
}

#[test]
fn the_spec_of_a_known_time_is_assumed_in_the_open() {
    let world = |known: &str| World::new().edit("track.yaml", "kind: stage", known);
    let listed = |world: &World| {
        let output = pullrank()
            .args(["rank", "--draws", "40", "--venue", "Mill Lane"])
            .arg(world.path("study.yaml"))
            .output()
            .unwrap();
        one_line(&world.said(&output.stdout))
    };
    let text = "the known time at Mill Lane done with long, the first of the specs";
    let silent = world("kind: stage\nknown: {time: 15.5 s}");
    assert!(listed(&silent).contains(text), "{}", listed(&silent));
    let said = world("kind: stage\nknown: {time: 15.5 s, spec: long}");
    assert!(!listed(&said).contains("done with"));
    let fitted = world("kind: stage\nknown: {time: 15.5 s}").edit(
        "study.yaml",
        "venues:",
        "fitted: short\nvenues:",
    );
    assert!(listed(&fitted).contains("done with short, which is in the car"));
}

/// With a single spec there is no gap to move, but a time.
#[test]
fn assumptions_move_the_time_of_a_single_spec() {
    let world = World::new().edit("study.yaml", "venues:", "specs: [long]\nvenues:");
    let out = one_line(&world.said(&world.rank().stdout));
    let (_, assumed) = out.split_once("Assumed: ").unwrap();
    assert!(
        assumed.contains("inputs, most of all ") && assumed.contains(" at Mill Lane by "),
        "{out}"
    );
    let found = json(
        pullrank()
            .args(["rank", "--draws", "40", "--json"])
            .arg(world.path("study.yaml")),
    );
    let first = &found["assumptions"][0];
    assert!(
        first["moves_time_by_s"].is_f64() && first["moves_gap_by_s"].is_null(),
        "{first}"
    );
}

#[test]
fn a_season_says_what_its_assumptions_turn_and_that_points_are_not_reckoned() {
    let season = |world: &World| {
        let output = pullrank()
            .args(["season", "--draws", "40"])
            .arg(world.path("study.yaml"))
            .output()
            .unwrap();
        one_line(&world.said(&output.stdout))
    };
    let world = World::new().edit(
        "study.yaml",
        "[track.yaml]",
        "[{track: track.yaml, passes: 100}]",
    );
    let out = season(&world);
    assert!(
        out.contains("Points, rivals and dropped events are not reckoned."),
        "{out}"
    );
    assert!(
        out.contains("Assumed: ") && out.contains("most of all "),
        "{out}"
    );
}

/// Corners by radius are driven by the driver's share of the limit: a time in a wet whose grip nobody said
/// cannot tell that share from the grip.
#[test]
fn a_time_in_an_assumed_wet_goes_into_no_corner_share() {
    let track = "name: Mill Lanes\nkind: stage\nsurface: tarmac\npieces:\n  - straight: 300 m\n  - corner: {radius: 40 m, \
                 turn: 90 deg, direction: right}\n  - straight: 250 m\n  - corner: {radius: 25 m, turn: 120 deg, direction: \
                 left}\n  - straight: 400 m\n  - corner: {radius: 60 m, turn: 80 deg, direction: right}\n  - straight: 150 m\n";
    let review = |venues: &str, results: &[(&str, f64)]| {
        let results: String = results
            .iter()
            .map(|(state, time)| {
                format!(
                    "  - {{venue: Mill Lanes, spec: long manifold, time: {time:.2} s, conditions: {state}}}\n"
                )
            })
            .collect();
        let study = format!("{venues}results:\n{results}");
        let (out, said) = told_at(track, &["results", "--draws", "40", "--json"], &study);
        let found: serde_json::Value =
            serde_json::from_str(&out).unwrap_or_else(|_| panic!("{out}{said}"));
        (found, one_line(&told_at(track, RESULTS, &study).0))
    };
    let driven = |venues: &str, state: &str| {
        let (found, _) = review(venues, &[(state, 60.0)]);
        found["results"][0]["predicted_s"].as_f64().unwrap()
    };
    let with = |factor: &str| MIXED.replace("wet: 60 %", factor);
    let wet = driven(&with("wet: {chance: 60 %, factor: 0.69}"), "wet");
    let dry = driven(MIXED, "dry");
    // Alone it is no ground for another share.
    let (found, out) = review(MIXED, &[("wet", wet)]);
    assert_eq!(found["kinds"].as_array().unwrap().len(), 0, "{found}");
    let grip = found["results"][0]["grip_factor"].as_f64().unwrap();
    assert!((grip - 0.69).abs() < 0.003, "{grip}");
    assert!(
        out.contains("factor: 0.69}}`. Else the driver cornered at"),
        "{out}"
    );
    assert!(
        out.contains("no corner share is taken from a time in the wet until then")
            && !out.contains("corner_share:"),
        "{out}"
    );
    // Beside one in the dry the share is that one's, and the grip is told with it.
    let slower = 1.02 * dry;
    let (both, _) = review(MIXED, &[("dry", slower), ("wet", 1.02 * wet)]);
    let (alone, _) = review(MIXED, &[("dry", slower)]);
    let share =
        |found: &serde_json::Value| found["kinds"][0]["corner_share_fitted"].as_f64().unwrap();
    assert_eq!(share(&both), share(&alone));
    let grip = both["results"][1]["grip_factor"].as_f64().unwrap();
    assert!((0.66..0.75).contains(&grip), "{grip}");
    // Where somebody wrote its grip it counts.
    let written = with("wet: {chance: 60 %, factor: 0.75}");
    let (found, out) = review(&written, &[("wet", wet)]);
    assert_eq!(found["kinds"][0]["results"], 1, "{found}");
    assert!(out.contains("write `corner_share:"), "{out}");
}

/// What two specs were driven apart and what is predicted may have other causes, which the runs do not tell.
#[test]
fn a_gap_between_specs_that_was_driven_otherwise_than_predicted_is_told() {
    let results = |of: &[(&str, f64)]| -> String {
        let line = |(spec, time): &(&str, f64)| {
            format!("  - {{venue: Mill Lanes, spec: {spec} manifold, time: {time:.2} s}}\n")
        };
        format!("{DRY}results:\n{}", of.iter().map(line).collect::<String>())
    };
    let (out, said) = told(
        &["results", "--draws", "40", "--json"],
        &results(&[("long", 85.0), ("short", 85.0)]),
    );
    let found: serde_json::Value = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{said}"));
    let of = |run: usize| found["results"][run]["predicted_s"].as_f64().unwrap();
    let (long, short) = (of(0), of(1));
    let apart = |long_by: f64| {
        let runs = [
            ("long", long + long_by),
            ("short", short),
            ("long", long + long_by),
        ];
        one_line(&told(RESULTS, &results(&runs)).0)
    };
    let out = apart(1.2);
    let driven = 1.2 + long - short;
    let wanted = format!(
        "Mill Lanes: short manifold was driven {driven:.1} s quicker than long manifold (1 run and 2), where {:+.1} s is predicted",
        long - short
    );
    assert!(out.contains(&wanted), "{wanted}: {out}");
    assert!(!apart(0.2).contains("was driven"), "{}", apart(0.2));
}

/// A known time tells the share at its venue; others of its kind stay as they are, which is said with what to write.
#[test]
fn a_known_time_says_what_others_of_its_kind_are_driven_at() {
    let pellmarsh = concat!(env!("CARGO_MANIFEST_DIR"), "/tracks/pellmarsh-sprint.yaml");
    let track = |known: &str| {
        format!(
            "name: Last Year\nkind: sprint\nsurface: tarmac\nstart: standing\n{known}pieces:\n  - straight: 300 m\n  - corner: \
             {{radius: 40 m, turn: 90 deg, direction: right}}\n  - straight: 250 m\n  - corner: {{radius: 25 m, turn: 120 deg, \
             direction: left}}\n  - straight: 400 m\n"
        )
    };
    let both = format!(
        "venues:\n  - {{track: mill.yaml, trim: tarmac}}\n  - {{track: {pellmarsh}, trim: tarmac}}\n"
    );
    let rank = |known: &str| {
        let (out, said) = told_at(&track(known), RANK, &both);
        assert!(!out.is_empty(), "{said}");
        one_line(&out)
    };
    let predicted = {
        let result = "results:\n  - {venue: Last Year, spec: long manifold, time: \"0:50.0\"}\n";
        let study = format!("{both}{result}");
        let (out, said) = told_at(&track(""), &["results", "--draws", "40", "--json"], &study);
        let found: serde_json::Value =
            serde_json::from_str(&out).unwrap_or_else(|_| panic!("{said}"));
        found["results"][0]["predicted_s"].as_f64().unwrap()
    };
    let known = format!(
        "known: {{time: {:.2} s, spec: long manifold}}\n",
        1.01 * predicted
    );
    let out = rank(&known);
    assert!(out.contains("Others of its kind are driven at 9"), "{out}");
    assert!(out.contains("`corner_share: {sprint: "), "{out}");
    // At the share that is taken there is nothing to say.
    let usual = format!("known: {{time: {predicted:.2} s, spec: long manifold}}\n");
    let taken = rank(&usual);
    assert!(
        taken.contains("Known time") && !taken.contains("Others of its kind"),
        "{taken}"
    );
}

#[test]
fn rank_says_first_which_question_decides_its_verdicts() {
    let longer = format!("{MILL}length: 4 km\n");
    let (out, said) = told_at(&longer, RANK, DRY);
    assert!(said.contains("and `length` says 4.00 km"), "{said}");
    let line = out.lines().nth(1).unwrap_or_default();
    assert!(
        line.starts_with("In question: the road as read is "),
        "{out}"
    );
    assert!(!told_at(MILL, RANK, DRY).0.contains("In question"));
}
