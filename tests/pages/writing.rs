//! Files that are written: whole, valid, small, never over another unasked.

use std::cell::RefCell;
use std::fs;

use html5ever::tendril::TendrilSink;
use markup5ever_rcdom::RcDom;

use super::{demo, folder};
use crate::commands::{pullrank, text};

/// Faults that the parser of the HTML standard finds.
fn faults(html: &str) -> Vec<String> {
    let options = html5ever::ParseOpts::default();
    let dom = html5ever::parse_document(RcDom::default(), options).one(html);
    let errors: &RefCell<Vec<_>> = &dom.errors;
    errors
        .borrow()
        .iter()
        .map(|error| error.to_string())
        .collect()
}

#[test]
fn pages_are_valid_and_of_one_piece() {
    for page in [&demo().report, &demo().sheet] {
        let html = fs::read_to_string(page).unwrap();
        assert!(html.starts_with("<!DOCTYPE html>"), "{}", &html[..40]);
        assert_eq!(faults(&html), Vec::<String>::new(), "{}", page.display());
        assert!(html.len() <= 1_500_000, "{} bytes", html.len());
        for outside in [
            "src=\"http",
            "href=\"http",
            "url(http",
            "@import",
            "<link rel=\"style",
        ] {
            assert!(!html.contains(outside), "{outside}");
        }
    }
    assert!(
        !faults("<p><p id=a id=b></div>").is_empty(),
        "the parser does find faults"
    );
}

/// Nobody is called quicker by seconds that may as well be lost.
#[test]
fn nothing_is_quicker_by_less_than_nothing() {
    let html = demo().html();
    for (at, _) in html.match_indices("quicker") {
        let from = (0..=at.saturating_sub(40))
            .rev()
            .find(|i| html.is_char_boundary(*i));
        let before = &html[from.unwrap_or(0)..at];
        let negative = before.split(' ').any(|word| {
            word.strip_prefix('-')
                .is_some_and(|rest| rest.parse::<f64>().is_ok())
        });
        assert!(!negative, "{before}quicker");
    }
}

#[test]
fn the_page_holds_the_files_it_was_made_from() {
    let html = demo().html();
    for file in [
        "club-season.yaml",
        "car.yaml",
        "testday.yaml",
        "threnlow-lanes.yaml",
        "long-1.csv",
        "quessmoor.gpx",
    ] {
        assert!(html.contains(file), "{file}");
    }
    let track = fs::read_to_string("tracks/vennick.yaml").unwrap();
    let line = track.lines().find(|line| line.contains("radius")).unwrap();
    assert!(html.contains(line.trim()), "{line}");
    assert!(
        html.contains("pullrank report examples&#x2f;club-season.yaml -o report.html --draws 40")
    );
}

#[test]
fn every_chart_stands_alone() {
    let files: Vec<_> = fs::read_dir(demo().charts())
        .unwrap()
        .map(|f| f.unwrap().path())
        .collect();
    assert!(files.len() > 20);
    for file in files {
        let svg = fs::read_to_string(&file).unwrap();
        let mut reader = quick_xml::Reader::from_str(&svg);
        loop {
            match reader.read_event() {
                Ok(quick_xml::events::Event::Eof) => break,
                Ok(_) => {}
                Err(error) => panic!("{}: {error}", file.display()),
            }
        }
        assert!(
            svg.contains("<title>") && svg.contains("<desc>"),
            "{}",
            file.display()
        );
    }
}

#[test]
fn nothing_is_written_over_unasked() {
    let folder = folder("over");
    let file = folder.join("report.html");
    fs::write(&file, "mine").unwrap();
    let mut command = pullrank();
    command
        .args(["report", "examples/club-season.yaml", "-o"])
        .arg(&file);
    let output = command.output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(
        said.contains("exists already") && said.contains("--force"),
        "{said}"
    );
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 1);
}

#[test]
fn a_sheet_needs_a_known_venue_spec_and_ending() {
    let study = "examples/club-season.yaml";
    for (arguments, said) in [
        (&["--venue", "nowhere"][..], "there is no venue `nowhere`"),
        (
            &["--venue", "vennick", "--spec", "turbo"],
            "there is no spec `turbo`",
        ),
        (&["--venue", "vennick", "-o", "sheet.doc"], ".html or .txt"),
    ] {
        let mut command = pullrank();
        let output = command
            .args(["sheet", study])
            .args(arguments)
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let error = String::from_utf8(output.stderr).unwrap();
        assert!(error.contains(said), "{error}");
    }
}

#[test]
fn the_drivers_sheet_as_text() {
    let mut command = pullrank();
    command.args([
        "sheet",
        "examples/club-season.yaml",
        "--venue",
        "vennick",
        "--draws",
        "40",
    ]);
    let sheet = text(&mut command);
    assert!(
        sheet.lines().all(|line| line.chars().count() <= 100),
        "{sheet}"
    );
    assert!(
        sheet.contains("not pace notes") || !sheet.contains("stage"),
        "{sheet}"
    );
    insta::assert_snapshot!(sheet);
}
