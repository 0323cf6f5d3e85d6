//! Figures ten times too high or too low, in another unit or of another place: asked about with what is usual,
//! refused where no engine makes them.

use super::pullrank;
use super::world::World;

/// Two litres, as 4 × π/4 × 86² × 86 mm³ are 1,998 cm³.
const TWO_LITRES: &str = "engine: {bore: 86 mm, stroke: 86 mm, cylinders: 4}\n";
const BARE: &str =
    "rpm: [2000, 3000, 4000, 5000, 6000, 7000], torque: [110, 125, 140, 152, 150, 135]";

/// What a command says beside its answer, and the answer, each on one line.
fn told(world: &World, arguments: &[&str]) -> (String, String) {
    let output = pullrank()
        .current_dir(world)
        .args(arguments)
        .output()
        .unwrap();
    let flat = |bytes: &[u8]| {
        let said = world.said(bytes);
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert_eq!(output.status.code(), Some(0), "{}", flat(&output.stderr));
    (flat(&output.stderr), flat(&output.stdout))
}

fn rank(world: &World) -> String {
    told(world, &["rank", "study.yaml", "--draws", "40"]).0
}

/// A sound study with a word more in its car file, and both specs so many times as strong.
fn strong(times: f64, car: &str, day: &str) -> World {
    let rows = |add: f64| {
        let rows = (0..21).map(|i| {
            let rpm = 2000.0 + 250.0 * f64::from(i);
            let torque = 152.0 - 30.0 * ((rpm - 5000.0) / 3000.0).powi(2) + add;
            format!("{rpm},{:.2}\n", times * torque)
        });
        rows.fold("rpm,torque (Nm)\n".to_owned(), |all, row| all + &row)
    };
    let specs = "specs:\n  - {name: long, pulls: long.csv}\n  - {name: short, pulls: short.csv}\n";
    World::new()
        .edit(
            "car.yaml",
            "flywheel: light\n",
            &format!("flywheel: light\n{car}"),
        )
        .write(
            "testday.yaml",
            format!("{day}corrected: DIN 70020\ncorrect_to: DIN 70020\n{specs}"),
        )
        .write("long.csv", rows(0.0))
        .write("short.csv", rows(1.5))
}

const FLYWHEEL: &str = "dyno: {measures: flywheel, method: steps}\n";
const WHEELS: &str = "dyno: {measures: wheels, method: steps}\n";

/// 4π × 152 N·m over 1,998 cm³ are 9.6 bar, 2.5 times that 23.9.
#[test]
fn torque_that_an_engine_of_its_size_does_not_make_is_asked_about() {
    assert_eq!(rank(&strong(1.0, TWO_LITRES, FLYWHEEL)), "");
    let said = rank(&strong(2.5, TWO_LITRES, FLYWHEEL));
    let wanted = "testday.yaml:5:5: warning: long (and 1 more): 380 N·m of 1998 cm³ are a mean effective pressure of \
                  23.9 bar, and engines without boost reach some 14";
    assert!(said.contains(wanted), "{said}");
    assert!(
        said.contains("say `engine: {breathing: turbocharged}`"),
        "{said}"
    );
    let boosted = format!("engine: {{breathing: turbocharged}}\n{FLYWHEEL}");
    let said = rank(&strong(2.5, TWO_LITRES, &boosted));
    assert!(!said.contains("mean effective"), "{said}");
    let said = rank(&strong(10.0, TWO_LITRES, &boosted));
    assert!(
        said.contains("95.6 bar, and engines with boost reach some 30"),
        "{said}"
    );
    assert!(
        said.contains("ten times too high? write 200 for 2000"),
        "{said}"
    );
    let said = rank(&strong(0.1, TWO_LITRES, FLYWHEEL));
    assert!(
        said.contains("0.956 bar, and hardly an engine makes less than 5"),
        "{said}"
    );
    assert!(said.contains("ten times too low, or in kgf·m?"), "{said}");
}

/// Second gear is 1.94 × 38/9 = 8.19, fourth 4.22; a tenth is lost on the way. 140.2 N·m times 0.9 × 4.22 at
/// 7,000 rpm are 390 kW, 406 W for each kg.
#[test]
fn torque_through_the_gears_is_asked_about_with_and_without_the_size() {
    let said = rank(&strong(0.9 * 8.19, TWO_LITRES, WHEELS));
    assert!(
        said.contains("divide by gear times final drive: 8.19 in gear 2"),
        "{said}"
    );
    let said = rank(&strong(0.9 * 4.22, "", WHEELS));
    let wanted = "short: 390 kW in 960 kg: is this torque at the wheels, through the gears, or in another unit?";
    assert!(said.contains(wanted), "{said}");
    assert_eq!(rank(&strong(0.9, "", WHEELS)), "");
}

#[test]
fn torque_typed_without_a_unit_is_listed_as_assumed() {
    let listed = |world: &World| told(world, &["pulls", "testday.yaml"]).1;
    let wanted = "torque of short typed in N·m (no unit is written)";
    let bare = listed(&World::new());
    assert!(bare.contains(wanted), "{bare}");
    for unit in ["Nm", "lb-ft"] {
        let written = World::new().edit("testday.yaml", BARE, &format!("{BARE}, unit: {unit}"));
        let listed = listed(&written);
        assert!(!listed.contains("no unit is written"), "{listed}");
    }
}

#[test]
fn one_figure_with_a_digit_too_many_is_refused_with_its_spec() {
    for (from, to) in [("140", "1400"), ("110", "1100"), ("135", "1350")] {
        let said = World::new().edit("testday.yaml", from, to).faults();
        let wanted = format!("error: short: torque: `{to}` is ");
        assert!(
            said.starts_with("testday.yaml:8:") && said.contains(&wanted),
            "{said}"
        );
        assert_eq!(said.matches(": error: ").count(), 1, "{said}");
        assert!(!said.contains("warning: "), "{said}");
    }
    let five = "rpm: [2000, 3000, 4000, 5000, 6000], torque: [110, 125, 140, 1520, 150]";
    let said = World::new().edit("testday.yaml", BARE, five).faults();
    assert!(
        said.contains("short: torque: `1520` is 10.1 times what stands beside it"),
        "{said}"
    );
}

/// Four fifths of what stood there.
#[test]
fn one_figure_too_low_among_few_is_asked_about() {
    let world = World::new().edit("testday.yaml", "152, 150", "122, 150");
    let (said, _) = told(&world, &["pulls", "testday.yaml"]);
    let wanted =
        "short: torque: `122` lies 19 % below the curve through its neighbours: a slip of the pen?";
    assert!(said.contains(wanted), "{said}");
}

#[test]
fn inertia_and_drag_area_of_no_car_are_asked_about() {
    let car = |line: &str| {
        let world = World::new().edit("car.yaml", "flywheel: light\n", line);
        told(&world, &["car", "car.yaml"]).0
    };
    for (line, wanted) in [
        (
            "inertia: {engine: 1.2 kg m2}\n",
            "engine: 1.2 kg m2 is unusual: cars have 0.02 to 0.8",
        ),
        (
            "inertia: {engine: 0.012, wheels: 36}\n",
            "engine: 0.012 kg m2 is unusual",
        ),
        (
            "inertia: {engine: 0.12, wheels: 36}\n",
            "wheels: 36 kg m2 is unusual: cars have 0.5 to 20",
        ),
        (
            "drag_area: 0.066 m2\n",
            "drag_area: 0.066 m2 is unusual: cars have 0.3 to 2",
        ),
        ("drag_area: 6.6 m2\n", "drag_area: 6.6 m2 is unusual"),
    ] {
        let said = car(line);
        assert!(
            said.starts_with("car.yaml:7:") && said.contains(wanted),
            "{said}"
        );
    }
    assert_eq!(
        car("inertia: {engine: 0.12, wheels: 3.6}\ndrag_area: 0.66 m2\n"),
        ""
    );
    assert_eq!(
        car("inertia: {engine: 0, wheels: 0}\ndrag_area: 0 m2\n"),
        ""
    );
}
