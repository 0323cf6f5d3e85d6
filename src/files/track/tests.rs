//! Track files: what is accepted, what it becomes, and how faults are told.

use approx::assert_relative_eq;

use super::*;
use crate::files::finding::{Finding, Severity};
use crate::venue::grades::Grades;
use crate::venue::{Bend, Extent, Section};

fn read_text(text: &str) -> (Option<Course>, Findings) {
    let mut findings = Findings::new();
    let course = decode(Source::new("track.yaml", text), None, &mut findings);
    (course, findings)
}

fn course(text: &str) -> Course {
    let (course, findings) = read_text(text);
    course.unwrap_or_else(|| panic!("{:?}", findings.iter().collect::<Vec<_>>()))
}

fn errors(text: &str) -> Vec<String> {
    let (course, findings) = read_text(text);
    assert!(course.is_none());
    findings.of(Severity::Error).map(said).collect()
}

fn said(finding: &Finding) -> String {
    let line = finding.position.as_ref().map_or(0, |p| p.line);
    let remedy = finding.remedy.clone().unwrap_or_default();
    format!("{line}: {} ({remedy})", finding.text)
}

fn pieces(list: &str) -> Course {
    course(&format!("name: x\nkind: sprint\npieces:\n{list}"))
}

#[test]
fn the_long_example_reads() {
    let course = course(
        r#"
name: Mill Lane
kind: stage
start: standing
surface: tarmac
air: {elevation: 310 m, temperature: 11 C, humidity: 80 %}
known: {time: "4:41.0", spec: long manifold, conditions: damp}
pieces:
  - straight: 140 m
  - square: left
  - corner: {name: quarry hairpin, apex: 31 km/h, length: 22 m, surface: gravel}
  - straight: {length: 260 m, slope: 3 %, crest: 110 km/h}
  - corner: {radius: 45 m, turn: 70 deg, direction: right}
  - repeat: {times: 6, pieces: [{straight: 40 m}, {hairpin: right}]}
"#,
    );
    assert_eq!(course.start, Start::Standing);
    assert_eq!(course.known.as_ref().map(|k| k.time), Some(281.0));
    assert_relative_eq!(course.air.temperature, 284.15);
    // Hand arithmetic: 140 + 22 + 260 + 45·70·π/180 + 6·40; graded corners have no length here.
    assert_relative_eq!(
        course.known_length(),
        662.0 + 45.0 * 70f64.to_radians(),
        epsilon = 1e-9
    );
    // 3 + (125 + 10 + 125) + 1 + 6·2 sections.
    assert_eq!(course.sections.len(), 3 + 3 + 1 + 12);
    let names: Vec<&str> = course.places.iter().map(|p| p.name.as_str()).collect();
    assert_eq!(
        &names[..6],
        [
            "straight to square left",
            "square left",
            "quarry hairpin",
            "straight to R45 right",
            "R45 right",
            "straight to hairpin right 1"
        ]
    );
    assert_eq!(names[16], "hairpin right 6");
    let gravel = &course.surfaces[course.sections[2].surface];
    assert_eq!((gravel.name.as_str(), gravel.factor), ("gravel", 1.0));
}

#[test]
fn a_crest_holds_the_middle_ten_metres() {
    let course = pieces("  - straight: {length: 260 m, crest: 90 km/h, cap: 130 km/h}\n");
    let lengths: Vec<f64> = course.sections.iter().filter_map(Section::length).collect();
    assert_eq!(lengths, [125.0, 10.0, 125.0]);
    let caps: Vec<f64> = course.sections.iter().filter_map(|s| s.cap).collect();
    assert_relative_eq!(caps[0], 130.0 / 3.6);
    assert_relative_eq!(caps[1], 25.0);
    assert_relative_eq!(caps[2], 130.0 / 3.6);
}

#[test]
fn an_opening_corner_turns_by_the_written_angle_and_widens_for_a_third() {
    let course = pieces("  - corner: {radius: 30 m, turn: 90 deg, direction: right, opens: 1.6}\n");
    let lengths: Vec<f64> = course.sections.iter().filter_map(Section::length).collect();
    assert_relative_eq!(lengths[0], 2.0 * lengths[1], max_relative = 1e-12);
    assert_relative_eq!(plan::turned(&course.sections).unwrap(), -90f64.to_radians());
    let Bend::Radius { curvature } = course.sections[1].bend else {
        panic!("a radius")
    };
    assert_relative_eq!(curvature, -1.0 / 48.0, max_relative = 1e-12);
}

#[test]
fn a_length_and_a_turned_angle_say_the_same() {
    for opens in ["", ", opens: 1.6", ", opens: 0.7"] {
        let by_turn = pieces(&format!(
            "  - corner: {{radius: 40 m, turn: 60 deg{opens}}}\n"
        ));
        let length = by_turn.known_length();
        let by_length = pieces(&format!(
            "  - corner: {{radius: 40 m, length: {length} m{opens}}}\n"
        ));
        assert_relative_eq!(
            plan::closure(&by_turn.sections).unwrap().turned,
            plan::closure(&by_length.sections).unwrap().turned,
            max_relative = 1e-9
        );
    }
}

#[test]
fn grades_are_the_drivers_own_first_of_the_track_then_of_the_study() {
    let text = "name: x\nkind: stage\nGpieces: [{square: left}]\n";
    let speed = |course: &Course| match course.sections[0].bend {
        Bend::Measured { speed, .. } => speed * 3.6,
        _ => 0.0,
    };
    let plain = course(&text.replace('G', ""));
    assert_relative_eq!(speed(&plain), 44.0);
    assert_eq!(plain.sections[0].extent, Extent::Turn(90f64.to_radians()));
    let own = course(&text.replace('G', "grades: {square: 51 km/h}\n"));
    assert_relative_eq!(speed(&own), 51.0);
    let mut driver = Grades::default();
    driver.grades[1].speed = Some(10.0);
    let source = Source::new("track.yaml", text.replace('G', ""));
    let of_study = decode(source, Some(&driver.into()), &mut Findings::new()).unwrap();
    assert_relative_eq!(speed(&of_study), 36.0);
}

#[test]
fn what_is_left_out_is_listed() {
    let (_, findings) = read_text("name: x\nkind: stage\npieces: [{square: left}]\n");
    let keys: Vec<&str> = findings
        .of(Severity::Assumed)
        .filter_map(|f| f.key.as_deref())
        .collect();
    for key in ["surface", "air", "grades", "slope"] {
        assert!(keys.contains(&key), "{key} is not in {keys:?}");
    }
}

#[test]
fn states_of_a_surface_have_their_usual_grip() {
    let course = course("name: x\nkind: stage\nsurface: damp gravel\npieces: [{straight: 10 m}]\n");
    let surface = &course.surfaces[0];
    assert_eq!((surface.like.as_str(), surface.factor), ("gravel", 0.85));
}

#[test]
fn the_usual_grip_of_a_named_state_is_listed_once_a_surface() {
    let listed = |rest: &str| {
        let text = format!("name: x\nkind: stage\nsurface: tarmac\n{rest}");
        let (_, findings) = read_text(&text);
        let of_surfaces = findings
            .of(Severity::Assumed)
            .filter(|f| f.key.as_deref() == Some("surfaces"));
        of_surfaces.map(|f| f.text.clone()).collect::<Vec<_>>()
    };
    let along = "pieces: [{straight: 400 m}]\nalong: [{from: 9 m, to: 99 m, surface: wet tarmac}, {from: 200 m, to: \
                 300 m, surface: wet tarmac}]\n";
    let wet = "wet tarmac has 0.75 of the grip of tarmac";
    assert_eq!(listed(along), [wet]);
    let pieces = "pieces: [{straight: 90 m}, {straight: {length: 90 m, surface: wet tarmac}}]\n";
    assert_eq!(listed(pieces), [wet]);
    let defined = "surfaces: {wet tarmac: {like: tarmac, factor: 0.7}}\n";
    for said in ["along: []\n", defined] {
        assert_eq!(
            listed(&format!("{said}{}", "pieces: [{straight: 90 m}]\n")),
            [""; 0]
        );
    }
    assert_eq!(listed(&format!("{defined}{along}")), [""; 0]);
}

#[test]
fn chances_of_conditions_sum_to_one() {
    let text =
        "name: x\nkind: stage\nconditions: {dry: 0.6, wet: 0.5}\npieces: [{straight: 9 m}]\n";
    assert_eq!(
        errors(text),
        [
            "3: the chances of the conditions sum to 110 % (make them sum to 100 %, as in \
          `{dry: 60 %, wet: 40 %}`)"
        ]
    );
    let course = course(&text.replace("0.5}", "40 %}"));
    assert_eq!(course.conditions[1].factor, 0.75);
}

#[test]
fn faults_of_pieces_are_told_all_at_once() {
    let text = "
name: x
kind: stage
pieces:
  - straight: 0 m
  - square: upwards
  - corner: {radius: 45 m}
  - corner: {apex: 31 kg, length: 22 m}
  - strait: 40 m
  - corner: {grade: 7, direction: left}
  - hairpin: {direction: left, crest: 80 km/h}
  - repeat: {times: 0, pieces: []}
";
    let errors = errors(text);
    let lines: Vec<&str> = errors
        .iter()
        .map(|e| e.split(':').next().unwrap())
        .collect();
    for line in ["5", "6", "7", "8", "9", "10", "11", "12"] {
        assert!(lines.contains(&line), "line {line} in {errors:#?}");
    }
    assert!(
        errors
            .iter()
            .any(|e| e.contains("did you mean `straight`?")),
        "{errors:#?}"
    );
}

#[test]
fn a_venue_without_road_is_an_error() {
    for text in [
        "name: x\nkind: stage\n",
        "name: x\nkind: stage\npieces: []\n",
        "name: x\nkind: stage\npieces: [{repeat: {times: 3, pieces: []}}]\n",
    ] {
        assert!(!errors(text).is_empty());
    }
}

#[test]
fn a_circuit_that_is_no_loop_is_a_warning() {
    let loop_of = |turn: &str| {
        let text = format!(
            "name: x\nkind: circuit\npieces:\n  - repeat: {{times: 4, pieces: [{{straight: 100 m}}, \
             {{corner: {{radius: 30 m, turn: {turn}, direction: right}}}}]}}\n"
        );
        let (course, findings) = read_text(&text);
        assert!(course.is_some());
        findings
            .of(Severity::Warning)
            .map(|f| f.text.clone())
            .collect::<Vec<_>>()
    };
    assert!(loop_of("90 deg").is_empty());
    assert_eq!(
        loop_of("80 deg"),
        ["the corners of this circuit turn 320° to the right in all"]
    );
}

#[test]
fn only_a_circuit_starts_flying() {
    let text = "name: x\nkind: stage\nstart: flying\npieces: [{straight: 10 m}]\n";
    assert_eq!(errors(text).len(), 1);
    let rolling = course(&text.replace("flying", "40 km/h"));
    assert_eq!(rolling.start, Start::Rolling(40.0 / 3.6));
}

#[test]
fn more_pieces_than_sane_are_refused() {
    let nested =
        "{repeat: {times: 1000, pieces: [{repeat: {times: 1000, pieces: [{straight: 0.1 m}]}}]}}";
    let errors = errors(&format!("name: x\nkind: stage\npieces: [{nested}]\n"));
    let told =
        errors[0].contains("this repeat has 1000000 pieces, and at most 100000 are one road");
    assert!(told, "{errors:?}");
}

/// The notes are of the road, which rain makes no longer; a scale of one's own is for the surface as it is.
#[test]
fn the_usual_scale_is_that_of_the_dry() {
    let length = |more: &str| {
        let notes = "notes: 100 3R 50 4L 2R tightens 80 60 HpL 150 6L long 40 SqR 200";
        let course = course(&format!("name: x\nkind: stage\n{more}\n{notes}\n"));
        course.nominal_length(plan::nominal_lateral(&course.surfaces[0]))
    };
    let dry = length("surface: tarmac");
    for surface in [
        "surface: wet tarmac",
        "surface: chippings\nsurfaces: {chippings: {like: tarmac, factor: 0.8}}",
    ] {
        assert_relative_eq!(length(surface), dry, max_relative = 1e-9);
    }
    let own = "grades: {hairpin: 28 km/h, square: 44 km/h, 2: 52 km/h, 3: 66 km/h, 4: 84 km/h, 6: flat}\n";
    assert_relative_eq!(
        length(&format!("{own}surface: tarmac")),
        dry,
        max_relative = 1e-9
    );
    // Straights and the flat bend; a radius grows by 1/0.75.
    let bends = dry - 725.0;
    assert!(length(&format!("{own}surface: wet tarmac")) > dry + 0.3 * bends);
    // One corner of its own surface is as long too.
    let corner = |surface: &str| {
        let course = pieces(&format!("  - square: {{direction: left{surface}}}\n"));
        let section = &course.sections[0];
        (
            section.surface,
            plan::length(section, plan::lateral(&course, section)),
        )
    };
    let (wet, dry) = (corner(", surface: wet tarmac"), corner(""));
    assert_eq!((wet.0, dry.0), (1, 0));
    assert_relative_eq!(wet.1, dry.1, max_relative = 1e-9);
}

#[test]
fn a_state_that_surface_and_conditions_both_say_is_asked_about() {
    let told = |more: &str| {
        let (course, findings) = read_text(&format!("name: x\nkind: sprint\n{more}\n"));
        assert!(course.is_some(), "{more} {findings:?}");
        findings.of(Severity::Warning).map(said).collect::<Vec<_>>()
    };
    let wet = "surface: wet tarmac\npieces: [{straight: 200 m}]\n";
    let damp = "surface: moor\nsurfaces: {moor: {like: tarmac, factor: 0.88}}\npieces: [{straight: 200 m}]\n";
    for (venue, twice) in [
        (
            format!("{wet}conditions: {{wet: 100 %}}"),
            "takes 0.75 of that once more",
        ),
        (
            format!("{wet}conditions: {{dry: 100 %}}"),
            "`dry` leaves it so",
        ),
        (
            format!("{wet}conditions: {{Frost: {{chance: 50 %, factor: 0.5}}, dry: 50 %}}"),
            "`dry`",
        ),
        (
            damp.replace("moor", "damp moor") + "conditions: {wet: 100 %}",
            "factor: 0.85}`",
        ),
        (
            format!("{wet}known: {{time: 60 s, conditions: wet}}"),
            "leave `conditions` out",
        ),
    ] {
        let found = told(&venue);
        assert!(
            found.len() == 1 && found[0].contains(twice),
            "{venue} {found:?}"
        );
    }
    let patch = "pieces: [{straight: 200 m}, {straight: {length: 20 m, surface: wet tarmac}}]\n";
    for venue in [
        wet.to_owned(),
        format!("{wet}conditions: {{wet: {{chance: 100 %, factor: 1}}}}"),
        format!(
            "{wet}conditions: {{wet: {{chance: 50 %, factor: 1}}, dry: {{chance: 50 %, factor: 1.3}}}}"
        ),
        format!("{wet}conditions: {{frost: {{chance: 100 %, factor: 0.5}}}}"),
        format!("{wet}known: {{time: 60 s}}"),
        format!("{damp}conditions: {{wet: 100 %}}"),
        format!("{patch}conditions: {{wet: 100 %}}"),
        wet.replace("wet", "dry") + "conditions: {wet: 100 %}",
    ] {
        assert_eq!(told(&venue), Vec::<String>::new(), "{venue}");
    }
}

#[test]
fn length_and_angle_of_a_corner_are_told_which_to_keep() {
    let remedy = "keep the length where it was measured along the road, else the angle";
    for corner in ["radius: 30 m", "apex: 40 km/h", "grade: 3"] {
        let said = errors(&format!(
            "name: x\nkind: sprint\npieces:\n  - straight: 90 m\n  - corner: {{{corner}, turn: 90 deg, length: 47 m}}\n"
        ));
        assert_eq!(said.len(), 1, "{said:?}");
        assert!(said[0].ends_with(&format!("({remedy})")), "{said:?}");
    }
}
