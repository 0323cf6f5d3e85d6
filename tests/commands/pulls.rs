//! `pullrank pulls`.

use super::{json, pullrank, text};

#[test]
fn the_demo_days_on_one_screen() {
    insta::assert_snapshot!(
        "rowan",
        text(pullrank().args(["pulls", "cars/rowan-coupe", "--resolve", "1.5%"]))
    );
    insta::assert_snapshot!(
        "plum",
        text(pullrank().args([
            "pulls",
            "cars/plum-hatch/testday.yaml",
            "--band",
            "4000..7500"
        ]))
    );
}

#[test]
fn json_holds_what_the_screen_says() {
    let day = json(pullrank().args(["pulls", "cars/rowan-coupe", "--json"]));
    assert_eq!(
        (&day["schema"], &day["answer"]),
        (&1.into(), &"pulls".into())
    );
    assert_eq!(day["standard"], "DIN 70020");
    assert_eq!(day["specs"].as_array().unwrap().len(), 4);
    assert_eq!(day["pulls"].as_array().unwrap().len(), 12);
    let first = &day["comparisons"][0];
    assert_eq!(
        (&first["spec"], &first["less"]),
        (&"short manifold".into(), &"long manifold".into())
    );
    let crossing = &first["crossovers"][0];
    let at = |key: &str| crossing[key].as_f64().unwrap();
    assert!(
        at("low_rpm") < 5337.0 && 5337.0 < at("high_rpm"),
        "the crossing behind the pulls"
    );
    assert_eq!(day["outlying"][0]["pull"], "stepped-2");
    assert_eq!(day["unlike"][0]["channel"], "oil_temperature_c");
    assert!(
        day["pulls"][0]["channels"]["oil_temperature_c"]
            .as_f64()
            .unwrap()
            < 120.0
    );
    assert_eq!(day["returns"][0]["spec"], "long manifold");
    assert_eq!(day["returns"][0]["after"][0], "short manifold");
    assert_eq!(day["specs"][3]["retuned"], false);
    let together = day["parts"]
        .as_array()
        .unwrap()
        .iter()
        .find(|part| part["changes"].as_array().unwrap().len() == 2)
        .unwrap();
    assert_eq!(together["told_apart"], false);
    assert!(
        day["findings"]
            .as_array()
            .unwrap()
            .iter()
            .all(|f| f["severity"] == "assumed")
    );
}

#[test]
fn csv_is_the_corrected_curves_with_their_bands() {
    let out = text(pullrank().args(["pulls", "cars/plum-hatch", "--csv"]));
    let mut reader = csv::Reader::from_reader(out.as_bytes());
    assert_eq!(
        reader.headers().unwrap().iter().collect::<Vec<_>>(),
        [
            "spec",
            "rpm",
            "torque_nm",
            "torque_low_nm",
            "torque_high_nm",
            "power_kw",
            "pulls"
        ]
    );
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let number = |i: usize| row[i].parse::<f64>().unwrap();
        assert!(number(3) < number(2) && number(2) < number(4));
        let watts = number(2) * number(1) * std::f64::consts::PI / 30.0;
        assert!((watts / 1e3 - number(5)).abs() < 0.01);
        rows += 1;
    }
    assert!(rows > 200, "{rows}");
}

#[test]
fn another_spec_can_stand_beside() {
    let out = text(pullrank().args(["pulls", "cars/rowan-coupe", "--beside", "stepped"]));
    assert!(out.contains("N·m more than\nstepped manifold at"), "{out}");
    let output = pullrank()
        .args(["pulls", "cars/rowan-coupe", "--beside", "mild"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
}

#[test]
fn charts_are_written_whole_and_not_over_others() {
    let folder = std::env::temp_dir().join(format!("pullrank-charts-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let run = |force: bool| {
        let mut command = pullrank();
        command
            .args(["pulls", "cars/plum-hatch", "--svg"])
            .arg(&folder);
        if force {
            command.arg("--force");
        }
        command.output().unwrap()
    };
    assert_eq!(run(false).status.code(), Some(0));
    let chart = folder.join("short-manifold-less-long-manifold.svg");
    let svg = std::fs::read_to_string(&chart).unwrap();
    assert!(svg.starts_with("<svg") && svg.trim_end().ends_with("</svg>"));
    let again = run(false);
    assert_eq!(again.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&again.stderr).contains("exists already"));
    assert_eq!(run(true).status.code(), Some(0));
    std::fs::remove_dir_all(&folder).unwrap();
    let gone = run(false);
    assert_eq!(gone.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&gone.stderr).contains("no such folder"));
}

#[test]
fn what_is_wrong_is_said_with_its_place_and_exit_code() {
    let fails = |args: &[&str], code: i32, what: &str| {
        let output = pullrank().arg("pulls").args(args).output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(code), "{said}");
        assert!(said.contains(what), "{said}");
        assert!(output.stdout.is_empty());
    };
    fails(
        &["nowhere.yaml"],
        1,
        "nowhere.yaml: error: there is no such file",
    );
    fails(&["tracks"], 1, "this folder has no test-day file");
    fails(
        &["cars/rowan-coupe", "--band", "7000..3000"],
        2,
        "3000..7000",
    );
    fails(&["cars/rowan-coupe", "--band", "mid"], 2, "3000..7000");
    fails(
        &["cars/rowan-coupe", "--band", "1000..9000"],
        2,
        "reaches beyond what was pulled (2600 to 7450 rpm with every spec)",
    );
    fails(&["cars/rowan-coupe", "--resolve", "0"], 2, "0.01 % to 50 %");
    fails(&["cars/rowan-coupe", "--force"], 2, "--svg");
}
