//! Specs that weigh differently: who wins by weight is told so, and half a statement of it is asked about.

use super::pullrank;
use super::world::World;

const POINTS: &str = "rpm: [2000, 3000, 4000, 5000, 6000, 7000]";
const TORQUE: &str = "[110, 125, 140, 152, 150, 135]";
/// More than single sheets leave open.
const MORE: &str = "[121, 138, 154, 167, 165, 148]";

fn day(heavy: &str, torque: &str, heavy_mass: &str, light_mass: &str) -> String {
    format!(
        "dyno: {{measures: flywheel, method: steps}}\n\
         correct_to: DIN 70020\n\
         corrected: DIN 70020\n\
         specs:\n\
         \x20 - {{name: {heavy}, points: {{{POINTS}, torque: {torque}}}{heavy_mass}}}\n\
         \x20 - {{name: light, points: {{{POINTS}, torque: {TORQUE}}}{light_mass}}}\n"
    )
}

/// What `rank` prints, whatever it says of copied figures beside it.
fn ranking(world: &World) -> String {
    let study = world.path("study.yaml");
    let mut command = pullrank();
    let output = command.arg("rank").arg(study).args(["--draws", "40"]);
    let output = output.output().unwrap();
    assert!(output.status.success());
    String::from_utf8(output.stdout).unwrap()
}

/// What `pulls` says beside its answer.
fn warned(world: &World) -> String {
    let output = pullrank()
        .arg("pulls")
        .arg(world.path("testday.yaml"))
        .output()
        .unwrap();
    assert!(output.status.success());
    world.said(&output.stderr)
}

#[test]
fn the_lighter_of_two_is_not_called_the_stronger() {
    let masses = (", mass: 230 kg", ", mass: 10 kg");
    for (torque, wanted) in [
        (
            TORQUE,
            "Both make the same torque where both were measured: light wins ",
        ),
        (
            MORE,
            "Iron has the higher torque wherever both were measured: light wins ",
        ),
    ] {
        let world = World::new().write("testday.yaml", day("iron", torque, masses.0, masses.1));
        let out = ranking(&world);
        assert!(out.contains(wanted), "{out}");
        assert!(out.contains("by being lighter"), "{out}");
    }
    let world = World::new().write(
        "testday.yaml",
        day("strong", MORE, ", mass: 1 kg", ", mass: 1 kg"),
    );
    let out = ranking(&world);
    assert!(
        out.contains("Strong has the higher torque wherever both were measured."),
        "{out}"
    );
}

#[test]
fn a_mass_of_one_spec_alone_is_asked_about() {
    let world = World::new().write("testday.yaml", day("iron", MORE, ", mass: 90 kg", ""));
    let said = warned(&world);
    let wanted = "testday.yaml:5:117: warning: no mass of light: taken to weigh as much as iron";
    assert!(said.contains(wanted), "{said}");
    let world = World::new().write(
        "testday.yaml",
        day("iron", MORE, ", mass: 90 kg", ", mass: 0 kg"),
    );
    assert!(!warned(&world).contains("no mass of"));
}
