use super::*;
use crate::files::finding::Findings;
use crate::files::source::Source;
use crate::units::{LENGTH, MASS, TIME};

/// What `reader` says of a text, as people read it.
fn said(text: &str, reader: impl FnOnce(Item<'_>)) -> String {
    let mut findings = Findings::new();
    decode(Source::new("car.yaml", text), &mut findings, |root| {
        reader(root);
        Some(())
    });
    let said: Vec<String> = findings.iter().map(ToString::to_string).collect();
    said.join("\n")
}

fn nothing(_: Item<'_>) {}

fn mass(root: Item<'_>) {
    if let Some(map) = root.mapping(&["mass", "name"]) {
        map.require("mass", "960 kg")
            .map(|m| m.quantity(&MASS, 50.0..=20e3));
    }
}

#[test]
fn names_stand_on_one_line_and_can_be_shown() {
    let title = |text: &str| {
        let mut read = None;
        let told = said(text, |root| {
            let map = root.mapping(&["name"]).unwrap();
            read = map.take("name").and_then(|item| item.title());
        });
        (read, told)
    };
    let (read, told) = title("name: |\n  mill\n   lane\n");
    assert_eq!((read.as_deref(), told.as_str()), (Some("mill lane"), ""));
    let (read, told) = title("name: \"\\e[31mred\"\n");
    assert_eq!(read, None);
    assert!(
        told.contains("name has characters that cannot be shown"),
        "{told}"
    );
}

/// A car weighs 1.08 kg nowhere, a straight may be 1.08 m long.
#[test]
fn parted_thousands_are_read_where_one_reading_makes_sense() {
    for text in [
        "mass: 1,080 kg",
        "mass: 1.080 kg",
        "mass: 1 080 kg",
        "mass: 1,080.5 kg",
    ] {
        let mut read = None;
        let told = said(text, |root| {
            let map = root.mapping(&["mass"]).unwrap();
            read = map
                .take("mass")
                .and_then(|m| m.quantity(&MASS, 50.0..=20e3));
        });
        let wanted = if text.contains('5') { 1080.5 } else { 1080.0 };
        assert_eq!((read, told.as_str()), (Some(wanted), ""), "{text}");
    }
    let length = |root: Item<'_>| {
        let map = root.mapping(&["length"]).unwrap();
        map.take("length").map(|m| m.quantity(&LENGTH, 0.5..=20e3));
    };
    insta::assert_snapshot!(said("length: 1,080 m", length), @r"
    car.yaml:1:9: error: length: `1,080` can be read as 1.080 or as 1080
        length: 1,080 m
                ^^^^^^^
      write 1.080 or 1080
    ");
    insta::assert_snapshot!(said("length: 100 080 m", length), @r"
    car.yaml:1:9: error: length: `100 080` has its thousands parted
        length: 100 080 m
                ^^^^^^^^^
      write 100080
    ");
}

#[test]
fn a_wrong_unit_is_named() {
    insta::assert_snapshot!(said("name: x\nmass: 900 mm\n", mass), @r"
    car.yaml:2:7: error: mass: `900 mm` is a length
        mass: 900 mm
              ^^^^^^
      mass wants kg or lb, as in `960 kg`
    ");
    insta::assert_snapshot!(said("mass: 960 stone", mass), @r"
    car.yaml:1:7: error: mass: `stone` in `960 stone` is not a unit known here
        mass: 960 stone
              ^^^^^^^^^
      mass wants kg or lb, as in `960 kg`
    ");
    insta::assert_snapshot!(said("mass: 960", mass), @r"
    car.yaml:1:7: error: mass: `960` has no unit
        mass: 960
              ^^^
      write it with its unit: kg or lb, as in `960 kg`
    ");
    insta::assert_snapshot!(said("mass: heavy", mass), @r"
    car.yaml:1:7: error: mass: `heavy` does not begin with a number
        mass: heavy
              ^^^^^
      mass wants kg or lb, as in `960 kg`
    ");
    insta::assert_snapshot!(said("mass: 5 %", mass), @r"
    car.yaml:1:7: error: mass: `5 %` is a percentage
        mass: 5 %
              ^^^
      mass wants kg or lb, as in `960 kg`
    ");
}

#[test]
fn values_out_of_range_are_named() {
    insta::assert_snapshot!(said("mass: 0 kg", mass), @r"
    car.yaml:1:7: error: mass: `0 kg` must be above zero
        mass: 0 kg
              ^^^^
      it must lie between 50 kg and 20000 kg
    ");
    insta::assert_snapshot!(said("mass: -960 kg", mass), @r"
    car.yaml:1:7: error: mass: `-960 kg` must be above zero
        mass: -960 kg
              ^^^^^^^
      it must lie between 50 kg and 20000 kg
    ");
    insta::assert_snapshot!(said("mass: .nan", mass), @r"
    car.yaml:1:7: error: mass: `.nan` is not a finite number
        mass: .nan
              ^^^^
      mass wants kg or lb, as in `960 kg`
    ");
    insta::assert_snapshot!(said("mass: inf kg", mass), @r"
    car.yaml:1:7: error: mass: `inf` is not a finite number
        mass: inf kg
              ^^^^^^
      mass wants kg or lb, as in `960 kg`
    ");
    insta::assert_snapshot!(said("mass: 1e999 kg", mass), @r"
    car.yaml:1:7: error: mass: `1e999` is not a finite number
        mass: 1e999 kg
              ^^^^^^^^
      mass wants kg or lb, as in `960 kg`
    ");
    insta::assert_snapshot!(said("mass: 60 lb", mass), @r"
    car.yaml:1:7: error: mass: `60 lb` is below 110 lb
        mass: 60 lb
              ^^^^^
      it must lie between 110 lb and 44092 lb
    ");
}

#[test]
fn wrong_kinds_are_named() {
    insta::assert_snapshot!(said("mass: [1, 2]", mass), @r"
    car.yaml:1:7: error: mass is a list
        mass: [1, 2]
              ^
      write a mass, as in `960 kg`
    ");
    insta::assert_snapshot!(said("mass:", mass), @r"
    car.yaml:1:1: error: mass has no value
        mass:
        ^^^^
      write a mass, as in `960 kg`
    ");
    insta::assert_snapshot!(said("mass: {kg: 960}", mass), @r"
    car.yaml:1:7: error: mass is a mapping of keys
        mass: {kg: 960}
              ^
      write a mass, as in `960 kg`
    ");
    insta::assert_snapshot!(said("- mass", mass), @r"
    car.yaml:1:1: error: this file is a list
        - mass
        ^
      write keys with their values: mass, name
    ");
    insta::assert_snapshot!(said("just a word", mass), @r"
    car.yaml:1:1: error: this file is `just a word`
        just a word
        ^^^^^^^^^^^
      write keys with their values: mass, name
    ");
}

#[test]
fn unknown_and_missing_keys_come_together() {
    insta::assert_snapshot!(said("name: x\nMass: 960 kg\ncolour: red\n", mass), @r"
    car.yaml: error: `mass` is missing in this file
      add `mass: 960 kg`
    car.yaml:2:1: error: `Mass` is not a key known here
        Mass: 960 kg
        ^^^^
      did you mean `mass`?
    car.yaml:3:1: error: `colour` is not a key known here
        colour: red
        ^^^^^^
      known here: mass, name
    ");
}

#[test]
fn syntax_stops_at_once_and_says_how() {
    insta::assert_snapshot!(said("a: 1\n\tb: 2\n", nothing), @r"
    car.yaml:2:1: error: tabs cannot indent in YAML
         b: 2
        ^
      indent with spaces, two for each level
    ");
    insta::assert_snapshot!(said("name: Rowan: coupe # x\n", nothing), @r#"
    car.yaml:1:12: error: a colon followed by a space stands inside a value
        name: Rowan: coupe # x
                   ^
      put the value in quotes: `name: "Rowan: coupe"`
    "#);
    insta::assert_snapshot!(said("a: [1, 2\nb: 3\n", nothing), @r"
    car.yaml:2:2: error: a colon is out of place here
        b: 3
         ^
      is the bracket or brace on line 1 closed?
    ");
    insta::assert_snapshot!(said("a: {b: 1\n", nothing), @r"
    car.yaml:1:4: error: a bracket or brace is opened and not closed
        a: {b: 1
           ^
      close it with `]` or `}`
    ");
    insta::assert_snapshot!(said("a: \"open\nb: 3\n", nothing), @r#"
    car.yaml:1:4: error: a quotation mark is opened and not closed
        a: "open
           ^
      close it
    "#);
    insta::assert_snapshot!(said("a: 1\n  b: 2\n", nothing), @r"
    car.yaml:2:3: error: `b` stands in column 3, and `a` above it in column 1
        b: 2
        ^
      all keys of a mapping begin in one column
    ");
    insta::assert_snapshot!(said("a:\n  - b: 2\n   - b: 3\n", nothing), @r"
    car.yaml:3:4: error: this dash stands in column 4, and the one above in column 3
        - b: 3
        ^
      all dashes of a list stand in one column
    ");
    insta::assert_snapshot!(said("a: 1\nb\nc: 2\n", nothing), @r"
    car.yaml:2:1: error: a key without its colon
        b
        ^
      write `key: value`, with a space after the colon
    ");
    insta::assert_snapshot!(said("a: *gone\n", nothing), @r"
    car.yaml:1:4: error: this alias repeats a value that was never named with `&`
        a: *gone
           ^
      put a text that begins with `*` in quotes
    ");
    insta::assert_snapshot!(said("a: @x\n", nothing), @r"
    car.yaml:1:4: error: `@` cannot begin a value
        a: @x
           ^
      put the text in quotes
    ");
    insta::assert_snapshot!(said("%YAML 1.1\n---\na: 1\n", nothing), @r"
    car.yaml:1:1: error: a line that begins with `%` is a YAML directive, and they mean nothing here
        %YAML 1.1
        ^
      leave it out, or put the text in quotes
    ");
    insta::assert_snapshot!(said("a: 1\n---\nb: 2\n", nothing), @r"
    car.yaml:2:1: error: `---` begins a second document, and one file holds one document
        ---
        ^^^
    ");
    insta::assert_snapshot!(said("", nothing), @r"
    car.yaml: error: this file is empty
      `pullrank new` writes files to start from
    ");
    insta::assert_snapshot!(said("# only a comment\n", nothing), @r"
    car.yaml: error: this file is empty
      `pullrank new` writes files to start from
    ");
}

#[test]
fn repeated_keys_tags_and_odd_keys_are_findings() {
    insta::assert_snapshot!(said("a: 1\nb: !!float 2\na: 3\n? [1, 2]\n: x\n", nothing), @r"
    car.yaml:2:4: error: `!!float` is a YAML tag, and tags mean nothing here
        b: !!float 2
           ^^^^^^^
      leave it out
    car.yaml:3:1: error: `a` is written a second time; it stands on line 1 already
        a: 3
        ^
      keep one of the two
    car.yaml:4:3: error: a key must be a word
        ? [1, 2]
          ^
      write `key: value`
    ");
}

#[test]
fn words_stay_as_written() {
    let text = "no: yes\nversion: 1.10\nname: no\nempty: ~\noctal: 010\n";
    said(text, |root| {
        let map = root
            .mapping(&["no", "version", "name", "empty", "octal"])
            .unwrap();
        assert_eq!(map.take("no").unwrap().yes_no(), Some(true));
        assert_eq!(map.take("version").unwrap().word(), Some("1.10"));
        assert_eq!(map.take("name").unwrap().text().as_deref(), Some("no"));
        assert!(map.take("empty").unwrap().is_empty());
        assert_eq!(map.take("octal").unwrap().integer(0..=99), Some(10));
    });
}

#[test]
fn a_decimal_comma_in_braces_is_explained() {
    let out = said("gearbox: {shift_time: 0,35 s}", |root| {
        let map = root.mapping(&["gearbox"]).unwrap();
        let gearbox = map
            .take("gearbox")
            .unwrap()
            .mapping(&["shift_time"])
            .unwrap();
        gearbox
            .take("shift_time")
            .unwrap()
            .quantity_or_bare(&TIME, "s", 0.0..=3.0);
    });
    insta::assert_snapshot!(out, @r"
    car.yaml:1:25: error: `35 s` stands alone: a comma in braces parts entries
        gearbox: {shift_time: 0,35 s}
                                ^^^^
      write decimals with a point, as in `0.35 s`
    ");
}

#[test]
fn three_figures_behind_a_comma_may_be_thousands() {
    let out = said("driver: {shift_light: 7,100 rpm}", |root| {
        let map = root.mapping(&["driver"]).unwrap();
        let _ = map.take("driver").unwrap().mapping(&["shift_light"]);
    });
    let wanted = "write thousands without a comma, as in `7100 rpm`, and decimals with a point, as in `7.100 rpm`";
    assert!(out.contains(wanted), "{out}");
}

#[test]
fn a_word_before_a_lone_number_is_no_part_of_it() {
    let out = said("gearbox: {gears: close, 95}", |root| {
        let map = root.mapping(&["gearbox"]).unwrap();
        let _ = map.take("gearbox").unwrap().mapping(&["gears"]);
    });
    assert!(out.contains("`95` stands alone"), "{out}");
    assert!(!out.contains("close.95"), "{out}");
}

#[test]
fn aliases_repeat_values_within_a_budget() {
    let text = "a: &length 140 m\nb: *length\n";
    said(text, |root| {
        let map = root.mapping(&["a", "b"]).unwrap();
        assert_eq!(
            map.take("b").unwrap().quantity(&LENGTH, 0.0..=1e3),
            Some(140.0)
        );
    });
    let mut bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x, x]\n".to_owned();
    for i in 1..10 {
        let items = vec![format!("*a{}", i - 1); 10].join(", ");
        bomb.push_str(&format!("a{i}: &a{i} [{items}]\n"));
    }
    insta::assert_snapshot!(said(&bomb, nothing), @r"
    car.yaml:4:9: error: anchors and aliases repeat more than 20000 values
        a3: &a3 [*a2, *a2, *a2, *a2, *a2, *a2, *a2, *a2, *a2, *a2]
                ^
    ");
    let named: String = (0..30).map(|i| format!("&n{i} [")).collect();
    let nested = format!("a: {named}{}{}", "x, ".repeat(5000), "]".repeat(30));
    assert!(said(&nested, nothing).contains("anchors and aliases repeat"));
    insta::assert_snapshot!(said("a: &a [1, *a]\n", nothing), @r"
    car.yaml:1:11: error: this alias stands inside the value it repeats
        a: &a [1, *a]
                  ^^
    ");
}

#[test]
fn deep_nesting_is_refused() {
    let deep = format!("a: {}{}", "[".repeat(100_000), "]".repeat(100_000));
    insta::assert_snapshot!(said(&deep, nothing), @r"
    car.yaml:1:36: error: lists and mappings are nested too deeply here
        a: [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[…
                                           ^
      nest them less
    ");
    let block: String = (0..200).map(|i| format!("{}a:\n", " ".repeat(i))).collect();
    insta::assert_snapshot!(said(&block, nothing), @r"
    car.yaml:33:33: error: lists and mappings are nested too deeply here
        a:
        ^
      nest them less
    ");
}

#[test]
fn line_ends_do_not_matter() {
    let reader = |text: &str| said(text, mass);
    assert_eq!(
        reader("name: x\r\nmass: 900 mm\r\n"),
        reader("name: x\nmass: 900 mm\n")
    );
}

#[test]
fn a_tab_before_a_key_is_said_at_its_own_line() {
    for (text, line, column) in [
        ("mass: 960 kg\n\tdrive: rear\n", 2, 1),
        ("mass: 960 kg\n \tdrive: rear\n", 2, 2),
        ("gearbox:\n  final: 9/38\n\tratios: [2.94]\nmass: 1\n", 3, 1),
        ("gearbox:\n  ratios:\n\t  first: 2\nmass: 1\n", 3, 1),
        ("specs:\n  - name: a\n\t  pulls: b\n", 3, 1),
    ] {
        let said = said(text, nothing);
        let wanted = format!("car.yaml:{line}:{column}: error: tabs cannot indent in YAML\n");
        assert!(said.starts_with(&wanted), "{text:?}: {said}");
    }
    // A tab within a line is no indentation.
    assert_eq!(said("mass:\t960 kg\n", nothing), "");
}
