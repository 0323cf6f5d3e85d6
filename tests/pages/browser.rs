//! The pages in a real browser. `.ci/run` installs chromium and runs these with `--ignored`.

use std::path::Path;

use serde_json::json;

use super::chromium::Chromium;
use super::{demo, folder};
use crate::commands::pullrank;
use crate::commands::world::World;

const WIDTHS: [u32; 5] = [320, 360, 768, 1440, 1600];

/// Faults of a page at all widths.
fn faults(browser: &mut Chromium, page: &Path) -> Vec<String> {
    browser.open(page, WIDTHS[0]);
    let mut faults = browser.faults("ids()");
    for width in WIDTHS {
        browser.width(width);
        for check in ["overflow()", "drawings()", "contrast()"] {
            let found = browser.faults(check).into_iter();
            faults.extend(found.map(|fault| format!("{width} px: {fault}")));
        }
    }
    faults.append(&mut browser.heard);
    faults
}

#[test]
#[ignore = "needs chromium, which .ci/run installs"]
fn pages_keep_quiet_fit_and_can_be_read_at_every_width() {
    let mut browser = Chromium::start("fit");
    for page in [&demo().report, &demo().sheet] {
        let found = faults(&mut browser, page);
        assert!(found.is_empty(), "{}\n{}", page.display(), found.join("\n"));
    }
}

/// Everything folded away is opened, then looked at.
#[test]
#[ignore = "needs chromium, which .ci/run installs"]
fn what_is_folded_fits_too() {
    let mut browser = Chromium::start("folded");
    browser.open(&demo().report, 360);
    browser.ask("document.querySelectorAll('details').forEach((one) => { one.open = true; })");
    let mut found = browser.faults("overflow()");
    found.extend(browser.faults("drawings()"));
    found.extend(browser.faults("contrast()"));
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// Where a value of the axis of a figure is on the screen.
fn place(browser: &mut Chromium, figure: &str, value: f64) -> (f64, f64) {
    let found = browser.ask(&format!(
        "(() => {{
            const figure = document.getElementById('{figure}');
            figure.scrollIntoView({{block: 'center'}});
            const one = [...figure.querySelectorAll('.drawings > div')].find((d) => d.clientWidth > 0);
            const [left, right, low, high] = one.dataset.axis.split(' ').map(Number);
            const svg = one.querySelector('svg'), box = svg.getBoundingClientRect();
            const x = left + (right - left) * ({value} - low) / (high - low);
            return [box.left + x * box.width / svg.viewBox.baseVal.width, box.top + box.height / 2];
        }})()"
    ));
    (found[0].as_f64().unwrap(), found[1].as_f64().unwrap())
}

#[test]
#[ignore = "needs chromium, which .ci/run installs"]
fn the_pointer_reads_what_the_table_says() {
    let mut browser = Chromium::start("pointer");
    for width in [360, 1440] {
        browser.open(&demo().report, width);
        for (rpm, band) in [
            (3_260.0, "3,000 to 3,500"),
            (5_100.0, "5,000 to 5,500"),
            (6_740.0, "6,500 to 7,000"),
        ] {
            let (x, y) = place(&mut browser, "venue-1-torque", rpm);
            browser.point(x, y);
            let read = browser.ask("document.querySelector('#venue-1-torque output').textContent");
            let row = browser.ask(&format!(
                "(() => {{
                    const table = document.querySelector('#venue-1-torque table');
                    const heads = [...table.tHead.rows[0].cells].map((c) => c.textContent);
                    const row = [...table.tBodies[0].rows].find((r) => r.cells[0].textContent === '{band}');
                    return [...row.cells].map((c, i) => i ? heads[i] + ': ' + c.textContent : heads[0] + ' ' + c.textContent).join('  ·  ');
                }})()"
            ));
            assert_eq!(read, row, "{width} px, {rpm} rpm");
        }
    }
}

#[test]
#[ignore = "needs chromium, which .ci/run installs"]
fn specs_are_switched_and_every_control_is_reached_by_keys() {
    let mut browser = Chromium::start("keys");
    browser.open(&demo().report, 768);
    let seen = "[...document.querySelectorAll('.spec-0')].filter((g) => g.getBoundingClientRect().width > 0).length";
    let before = browser.ask(seen).as_u64().unwrap();
    assert!(before > 5);
    let wanted = browser.ask(&format!(
        "(() => {{ {} return workable().length; }})()",
        include_str!("checks.js")
    ));
    let wanted = wanted.as_u64().unwrap();
    let now = "document.activeElement.tagName + ' ' + document.activeElement.className";
    let mut reached = 0;
    let mut switched = false;
    let mut read = false;
    for _ in 0..wanted {
        browser.press("Tab");
        let name = browser.ask(now);
        reached += u64::from(name != "BODY ");
        if name == "BUTTON " && !switched {
            browser.press("Enter");
            assert_eq!(browser.ask(seen), json!(0), "the first spec is hidden");
            browser.press("Enter");
            assert_eq!(browser.ask(seen), json!(before), "and back");
            switched = true;
        }
        if name == "DIV drawings" && !read {
            browser.press("ArrowRight");
            browser.press("ArrowRight");
            let said = browser
                .ask("document.activeElement.parentElement.querySelector('output').textContent");
            assert!(said.as_str().unwrap().contains(": "), "{said}");
            read = true;
        }
    }
    assert_eq!(reached, wanted);
    assert!(switched && read);
}

/// Pages of a PDF and whether all are A4 upright (210 × 297 mm at 72 to the inch).
fn pages(pdf: &[u8]) -> (usize, bool) {
    let text = String::from_utf8_lossy(pdf);
    let boxes: Vec<&str> = text
        .split("/MediaBox [")
        .skip(1)
        .filter_map(|rest| rest.split(']').next())
        .collect();
    let a4 = boxes.iter().all(|one| {
        let sides: Vec<f64> = one
            .split_whitespace()
            .filter_map(|n| n.parse().ok())
            .collect();
        (sides[2] - 595.0).abs() < 1.5 && (sides[3] - 842.0).abs() < 1.5
    });
    (boxes.len(), a4)
}

#[test]
#[ignore = "needs chromium, which .ci/run installs"]
fn pages_print_on_a4() {
    let mut browser = Chromium::start("print");
    // A4 less its margins, at 96 to the inch.
    let paper = 702;
    browser.open(&demo().report, paper);
    browser.call("Emulation.setEmulatedMedia", json!({"media": "print"}));
    let mut found = browser.faults("overflow()");
    found.extend(browser.faults("drawings()"));
    assert!(found.is_empty(), "{}", found.join("\n"));
    let (count, a4) = pages(&browser.print());
    assert!(a4 && (10..=40).contains(&count), "{count} pages");
    browser.open(&demo().sheet, paper);
    assert_eq!(pages(&browser.print()), (1, true), "the sheet is one page");
}

/// One spec, four specs, a venue that nothing can drive.
#[test]
#[ignore = "needs chromium, which .ci/run installs"]
fn pages_of_other_studies_fit_too() {
    let folder = folder("others");
    let write = |name: &str, specs: &str| {
        let root = env!("CARGO_MANIFEST_DIR");
        let study = folder.join(format!("{name}.yaml"));
        let text = format!(
            "name: {name}\ncar: {root}/cars/rowan-coupe/car.yaml\n\
             testday: {root}/cars/rowan-coupe/testday.yaml\n{specs}\
             venues: [{{track: {root}/tracks/vennick.yaml, trim: circuit}}]\n"
        );
        std::fs::write(&study, text).unwrap();
        study
    };
    let world = World::new().edit(
        "track.yaml",
        "  - straight: 90 m",
        "  - straight: {length: 900 m, slope: 95 %}",
    );
    for (name, study, code) in [
        ("one", write("one", "specs: [long manifold]\n"), 0),
        ("four", write("four", ""), 0),
        ("steep", world.path("study.yaml"), 1),
    ] {
        let page = folder.join(format!("{name}.html"));
        let output = pullrank()
            .arg("report")
            .arg(&study)
            .args(["--draws", "40", "-o"])
            .arg(&page)
            .output()
            .unwrap();
        assert_eq!(
            output.status.code(),
            Some(code),
            "{}",
            String::from_utf8_lossy(&output.stderr)
        );
        if code == 0 {
            let found = faults(&mut Chromium::start(name), &page);
            assert!(found.is_empty(), "{name}\n{}", found.join("\n"));
        } else {
            assert!(
                !page.exists(),
                "nothing is left of a page that cannot be made"
            );
        }
    }
}

/// Names that try to be code, break lines, turn the text round or never end.
#[test]
#[ignore = "needs chromium, which .ci/run installs"]
fn names_are_inert_and_break_nothing() {
    let long = "manifold".repeat(25);
    let names = [
        "<script>document.title = 'run'</script><img src=x onerror=alert(1)>",
        "\"' onmouseover='document.title=1' {{ 7 * 7 }} </title>",
        "\u{5e1}\u{5e2}\u{5e4}\u{5ea} \u{5d0}\u{5e8}\u{5d5}\u{5db}\u{5d4} \u{202e}4-2-1",
        &long,
    ];
    for (index, name) in names.into_iter().enumerate() {
        // A JSON string is a YAML one.
        let quoted = format!("name: {}", json!(name));
        let world = World::new()
            .edit("testday.yaml", "name: long", &quoted)
            .edit("track.yaml", "name: Mill Lane", &quoted)
            .edit("study.yaml", "name: Small", &quoted)
            .edit("car.yaml", "name: Minnow", &quoted);
        let folder = folder(&format!("name-{index}"));
        for page in ["report.html", "sheet.html"] {
            let mut command = pullrank();
            let kind = page.trim_end_matches(".html");
            command.arg(kind).arg(world.path("study.yaml"));
            if kind == "sheet" {
                command.args(["--venue", name]);
            }
            let file = folder.join(page);
            command.args(["--draws", "40", "-o"]).arg(&file);
            let output = command.output().unwrap();
            assert!(
                output.status.success(),
                "{}",
                String::from_utf8_lossy(&output.stderr)
            );
            let mut browser = Chromium::start(&format!("name-{index}-{kind}"));
            let found = faults(&mut browser, &file);
            assert!(found.is_empty(), "{name}\n{}", found.join("\n"));
            let title = browser.ask("document.title");
            assert!(title != "run" && title != "1", "{title}");
            assert_eq!(
                browser.ask("document.querySelectorAll('img').length"),
                json!(0)
            );
        }
    }
}
