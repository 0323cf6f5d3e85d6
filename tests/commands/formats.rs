//! Columns and files that look like what is asked for and are something else.

use super::pullrank;
use super::roads::venue;
use super::testdays::{LONG, RPM};
use super::world::World;

/// What `pulls` prints; it must not be refused.
fn pulls(world: &World) -> String {
    let output = pullrank()
        .current_dir(world)
        .args(["pulls", "testday.yaml"])
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", world.said(&output.stderr));
    world.said(&output.stdout)
}

fn sheet(heading: &str, row: impl Fn(f64, f64) -> String) -> String {
    let rows = RPM.iter().zip(LONG).map(|(rpm, torque)| row(*rpm, torque));
    rows.fold(format!("{heading}\n"), |all, row| all + &row + "\n")
}

#[test]
fn what_rollers_turn_is_not_engine_speed() {
    let headed = |name: &str| {
        let table = sheet(&format!("{name},torque (Nm)"), |n, t| format!("{n},{t}"));
        World::new().write("long.csv", table)
    };
    for name in ["roller rpm", "Drum (rpm)", "wheel_rpm", "turbo rpm"] {
        let said = headed(name).faults();
        assert!(said.starts_with("long.csv:1:1: error: "), "{name}: {said}");
        assert!(
            said.contains("is not engine speed, and no other column"),
            "{name}: {said}"
        );
        assert!(
            said.contains("call the column of engine speed `rpm`"),
            "{name}: {said}"
        );
        assert!(
            said.contains("speed_per_1000_rpm: 26.1 km/h"),
            "{name}: {said}"
        );
    }
    for name in [
        "rpm",
        "engine rpm",
        "motor (rpm)",
        "engine output shaft (rpm)",
    ] {
        pulls(&headed(name));
    }
    let both = sheet("roller rpm,rpm,torque (Nm)", |n, t| {
        format!("{},{n},{t}", n / 4.0)
    });
    pulls(&World::new().write("long.csv", both));
}

/// `2.500;36.390,3` is 2,500 rpm and 36,390.3 W beside decimal commas.
#[test]
fn points_part_thousands_beside_decimal_commas() {
    let dotted = |value: u32| format!("{}.{:03}", value / 1000, value % 1000);
    let watts = |n: f64, t: f64| (10.0 * t * n * std::f64::consts::TAU / 60.0) as u32;
    let plain = sheet("rpm;power (W)", |n, t| {
        let tenths = watts(n, t);
        format!("{n};{},{}", tenths / 10, tenths % 10)
    });
    let parted = sheet("rpm;power (W)", |n, t| {
        let tenths = watts(n, t);
        format!(
            "{};{},{}",
            dotted(n as u32),
            dotted(tenths / 10),
            tenths % 10
        )
    });
    let [plain, parted] =
        [plain, parted].map(|table| pulls(&World::new().write("long.csv", table)));
    assert_eq!(plain, parted);
    let either = sheet("rpm;power (kW);lambda", |n, t| {
        format!("{};{};0,88", dotted(n as u32), dotted(10 * t as u32))
    });
    let said = World::new().write("long.csv", either).faults();
    assert!(said.contains("`1.390` can be read in two ways"), "{said}");
    assert!(said.contains("write 1,390 or 1390 throughout"), "{said}");
}

#[test]
fn files_that_are_no_text_are_told_what_to_do() {
    let workbook = b"PK\x03\x04\x14\0\x06\0\x08\0[Content_Types].xml\xff\xfe";
    let sheets =
        b"PK\x03\x04\x14\0\0\x08\0\0mimetypeapplication/vnd.oasis.opendocument.spreadsheet\xff";
    for (bytes, what, remedy) in [
        (
            &workbook[..],
            "the workbook of a spreadsheet",
            "save it as .xlsx, or export the table as CSV",
        ),
        (
            sheets,
            "the workbook of a spreadsheet",
            "save it as .xlsx, or export the table as CSV",
        ),
        (
            b"PK\x03\x04\x14\0\0\x08long.csv\xff",
            "a packed file (zip)",
            "unpack it",
        ),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
            "the document of an office program",
            "as CSV",
        ),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1E\0n\0c\0r\0y\0p\0t\0e\0d\0P\0a\0c\0k\0a\0g\0e\0",
            "a document under a password",
            "save it without one",
        ),
        (
            b"%PDF-1.7\n%\xe2\xe3\n",
            "a PDF",
            "export the table as CSV where it was made",
        ),
        (b"\x1f\x8b\x08\0\0", "a packed file (gzip)", "unpack it"),
        (b"\x89PNG\r\n\x1a\n", "a picture", "type its figures"),
        (
            b"\n<HTML xmlns:o=\"urn:office\"><body><table><tr><td>2200</td><td>90.7</td></tr></table>",
            "a web page",
            "open it in a spreadsheet, save the table as CSV",
        ),
    ] {
        let pull = World::new().write("long.csv", bytes);
        let log = venue("log: run.xlsx").write("run.xlsx", bytes);
        let study = World::new().write("study.yaml", bytes);
        for (world, file) in [(pull, "long.csv"), (log, "run.xlsx"), (study, "study.yaml")] {
            let said = world.faults();
            let wanted = format!("{file}: error: this file is {what}, and a text is wanted");
            assert!(said.contains(&wanted), "{said}");
            assert!(said.contains(remedy), "{said}");
        }
    }
}
