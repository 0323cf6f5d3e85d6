use super::layout::{heading, layout};
use super::*;
use crate::files::source::Source;
use crate::units::{ENGINE_SPEED, LENGTH, POWER, TORQUE};

fn table(text: &str) -> Table {
    let mut findings = Findings::new();
    let table = Table::parse(Source::new("pull.csv", text), &mut findings);
    assert!(findings.is_empty(), "{findings:?}");
    table.unwrap()
}

fn rpm_and_torque(text: &str) -> (Vec<f64>, Vec<f64>) {
    let table = table(text);
    let mut findings = Findings::new();
    let rpm = table.find(&["rpm", "engine speed"]).unwrap();
    let torque = table.find(&["torque"]).unwrap();
    let rpm = table.numbers(rpm, &ENGINE_SPEED, Some("rpm"), &mut findings);
    let torque = table.numbers(torque, &TORQUE, Some("Nm"), &mut findings);
    assert!(findings.is_empty(), "{findings:?}");
    (rpm.unwrap(), torque.unwrap())
}

/// What is said of a text whose torque is read.
fn said(text: &str) -> String {
    let mut findings = Findings::new();
    if let Some(table) = Table::parse(Source::new("pull.csv", text), &mut findings) {
        let names = ["torque"];
        match table.find(&names) {
            Some(column) => {
                table.numbers(column, &TORQUE, None, &mut findings);
            }
            None => findings.push(table.missing("torque", &names)),
        }
    }
    let said: Vec<String> = findings.iter().map(ToString::to_string).collect();
    said.join("\n")
}

#[test]
fn every_common_layout_gives_the_same_pull() {
    let wanted = (vec![2500.0, 3000.0, 3500.0], vec![139.0, 153.5, 166.0]);
    for text in [
        "rpm,torque\n2500,139\n3000,153.5\n3500,166\n",
        "rpm;torque\n2500;139\n3000;153,5\n3500;166\n",
        "rpm\ttorque\n2500\t139\n3000\t153,5\n3500\t166\n",
        "rpm;torque\n2500;139\n3000;153.5\n3500;166\n",
        "torque,rpm\n139,2500\n153.5,3000\n166,3500\n",
        "rpm,torque\r\n2500,139\r\n3000,153.5\r\n3500,166\r\n",
        "Torque (N·m),Engine speed (1/min)\n139,2500\n153.5,3000\n166,3500\n",
        "Engine_Speed_rpm;Torque_Nm\n2500;139\n3000;153,5\n3500;166",
        "rpm,torque\nrpm,Nm\n2500,139\n3000,153.5\n3500,166\n",
        "rpm,torque\n[1/min],[Nm]\n2500,139\n3000,153.5\n3500,166\n",
        "Rolls of the club\nRun,3\nDate,14 May\n\nrpm,torque\n2500,139\n3000,153.5\n3500,166\n",
        "# long manifold\nrpm,torque,note\n2500,139,\n3000,153.5,knock?\n# cooled\n3500,166,\n",
        "\"rpm\",\"torque\"\n\"2500\",\"139\"\n\"3000\",\"153,5\"\n\"3500\",\"166\"\n",
        "rpm,torque,\n2500,139,\n3000,153.5,\n3500,166,\n",
        "rpm;torque\n2500 U/min;139 Nm\n3000 U/min;153,5 Nm\n3500 U/min;166 Nm\n",
        "Air,18 °C,1009 hPa\nrpm,torque\n2500 rpm,139 Nm\n3000 rpm,153.5 Nm\n3500 rpm,166 Nm\n",
        "time;rpm;torque\n0,00;2500;139,000\n0,05;3000;153,500\n0,10;3500;166,000\n",
        "rpm;torque\n2500;139\n;\n3000;153,5\n3500;166\n ; \n\"\";\n",
        "Owner,Whitlow\nBore,86,Stroke,69\nrpm,torque\n2500,139\n3000,153.5\n3500,166\n",
        "rpm;torque\n----;------\n2500;139\n3000;153,5\n3500;166\n",
    ] {
        assert_eq!(rpm_and_torque(text), wanted, "{text}");
    }
}

#[test]
fn units_in_the_heading_are_converted() {
    let (_, torque) = rpm_and_torque("rpm,torque [lb-ft]\n2500,100\n3000,110\n");
    assert!((torque[0] - 135.581_794_833).abs() < 1e-9);
    let table = table("rpm,Power (PS)\n2500,100\n3000,120\n");
    let column = table.find(&["power"]).unwrap();
    let watts = table
        .numbers(column, &POWER, None, &mut Findings::new())
        .unwrap();
    assert!((watts[0] - 73_549.875).abs() < 1e-9);
}

#[test]
fn headings_that_are_units_stay_headings_below_a_line_about_the_run() {
    for (above, header, units) in [
        ("Rowan,long manifold,Tuesday", Some(1), None),
        ("Engine speed,Torque,Lambda", Some(0), Some(1)),
    ] {
        let layout = layout(&format!(
            "{above}\nrpm,Nm,AFR\n2500,139,13.1\n3000,153,13.0\n"
        ));
        assert_eq!((layout.header, layout.units), (header, units), "{above}");
    }
}

#[test]
fn rows_of_units_may_have_figures_in_them() {
    for units in [
        "s,km/h,m/s2,deg",
        "[s],[km/h],[m/s2],[deg]",
        "s,km/h,m/s/s,deg N",
        "s,m/s,rad/s2,°W",
        "s,km/h,deg/s (left +),deg",
    ] {
        let layout = layout(&format!(
            "Time,GPS Speed,Lateral Acc,GPS Latitude\n{units}\n0.0,1.8,0.1,48.3\n0.1,3.3,0.2,48.4\n"
        ));
        assert_eq!((layout.header, layout.units), (Some(0), Some(1)), "{units}");
    }
    let layout = layout("Rowan,long manifold,lap 2\ntime,speed,gyro2\n0.0,1.8,0.1\n0.1,3.3,0.2\n");
    assert_eq!((layout.header, layout.units), (Some(1), None));
}

#[test]
fn headings_part_into_name_and_unit() {
    for (cell, name, unit) in [
        ("Torque (N·m)", "Torque", Some("N·m")),
        ("torque [lb-ft]", "torque", Some("lb-ft")),
        ("Power_kW", "Power", Some("kW")),
        ("Torque/Nm", "Torque", Some("Nm")),
        ("Torque in Nm", "Torque", Some("Nm")),
        ("Speed km/h", "Speed", Some("km/h")),
        ("rpm", "rpm", Some("rpm")),
        ("Oil temp", "Oil temp", None),
        ("Lambda 1", "Lambda 1", None),
        ("Time (s)", "Time", Some("s")),
        ("(Nm)", "Nm", Some("Nm")),
        ("Latitude N", "Latitude", Some("N")),
        ("Longitude deg W", "Longitude", Some("deg W")),
        ("Lambda N", "Lambda N", None),
    ] {
        assert_eq!(
            heading(cell),
            (name.to_owned(), unit.map(str::to_owned)),
            "{cell}"
        );
    }
}

#[test]
fn text_among_numbers_is_named_with_its_row() {
    let mut text = "rpm,torque (Nm)\n".to_owned();
    for row in 1..=20 {
        let torque = if row == 17 {
            "n/a".to_owned()
        } else {
            (140 + row).to_string()
        };
        text.push_str(&format!("{},{torque}\n", 2000 + 100 * row));
    }
    insta::assert_snapshot!(said(&text), @r"
    pull.csv:18:6: error: `torque` in row 17: `n/a` is not a number
        3700,n/a
             ^^^
      write the value or take the row out
    ");
    insta::assert_snapshot!(said("rpm,torque (Nm)\n2500,abc\n3000,153\n3500,166\n"), @r"
    pull.csv:2:6: error: `torque` in row 1: `abc` is not a number
        2500,abc
             ^^^
      write the value or take the row out
    ");
}

#[test]
fn cells_that_are_no_plain_numbers_are_named() {
    insta::assert_snapshot!(said("rpm,torque (Nm)\n2500,139\n3000,\n3500,NaN\n4000,inf\n"), @r"
    pull.csv:3:6: error: `torque` in row 2: the cell is empty
        3000,
             ^
      write the value or take the row out
    pull.csv:4:6: error: `torque` in row 3: `NaN` is not a finite number
        3500,NaN
             ^^^
      write a plain number
    pull.csv:5:6: error: `torque` in row 4: `inf` is not a finite number
        4000,inf
             ^^^
      write a plain number
    ");
    insta::assert_snapshot!(said("rpm\ttorque (Nm)\n2500\t139.5\n3000\t1.153,5\n"), @r"
    pull.csv:3:6: error: `torque` in row 2: `1.153,5` has its thousands parted
        3000 1.153,5
             ^^^^^^^
      write a plain number
    ");
    insta::assert_snapshot!(said("rpm,torque (Nm)\n2500,139 Nm\n3000,60 kW\n"), @r"
    pull.csv:3:6: error: `torque` in row 2: `60 kW` is a power
        3000,60 kW
             ^^^^^
      torque wants N·m, lb-ft or kgf·m, as in `204 Nm`
    ");
    insta::assert_snapshot!(said("rpm,torque (Nm)\n2500,\n3000,\n3500,\n4000,\n4500,\n5000,\n5500,\n6000,\n"), @r"
    pull.csv:2:6: error: `torque` in row 1: the cell is empty
        2500,
             ^
      write the value or take the row out
    pull.csv:3:6: error: `torque` in row 2: the cell is empty
        3000,
             ^
      write the value or take the row out
    pull.csv:4:6: error: `torque` in row 3: the cell is empty
        3500,
             ^
      write the value or take the row out
    pull.csv:5:6: error: `torque` in row 4: the cell is empty
        4000,
             ^
      write the value or take the row out
    pull.csv:6:6: error: `torque` in row 5: the cell is empty
        4500,
             ^
      write the value or take the row out
    pull.csv:7:6: error: `torque` in row 6: the cell is empty (and more rows like it)
        5000,
             ^
      write the value or take the row out
    ");
}

#[test]
fn what_is_wrong_with_the_table_is_said() {
    insta::assert_snapshot!(said(""), @r"
    pull.csv: error: this file is empty
      it wants a line that names the columns, as in `rpm,torque (Nm)`, and a row for each point under it: export it again
    ");
    insta::assert_snapshot!(said("2500,139\n3000,153\n"), @r"
    pull.csv: error: no line names the columns
      put a line such as `rpm,torque (Nm)` above the numbers
    ");
    insta::assert_snapshot!(said("rpm,torque (Nm)\n"), @r"
    pull.csv: error: there are no numbers under the header
      put one row for each point under it
    ");
    insta::assert_snapshot!(said("rpm,torque\n2500,139\n3000,153\n"), @r"
    pull.csv:1:5: error: the column `torque` has no unit
        rpm,torque
            ^^^^^^
      write it in the heading, as in `torque (N·m)`, whichever it is: N·m, lb-ft or kgf·m
    ");
    insta::assert_snapshot!(said("rpm,torque (kW)\n2500,139\n3000,153\n"), @r"
    pull.csv:1:5: error: `kW` is a power; `torque` is a torque
        rpm,torque (kW)
            ^^^^^^^^^^^
      write it in the heading, as in `torque (N·m)`
    ");
    insta::assert_snapshot!(said("rpm,torque (stone)\n2500,139\n3000,153\n"), @r"
    pull.csv:1:5: error: `stone` is not a unit known here; `torque` is a torque
        rpm,torque (stone)
            ^^^^^^^^^^^^^^
      torque is read in N·m, lb-ft or kgf·m: if the figures are in one of them write that, else convert them
    ");
    insta::assert_snapshot!(said("rpm,torqe (Nm)\n2500,139\n3000,153\n"), @r"
    pull.csv:1: error: no column of torque in this table
        rpm,torqe (Nm)
      is `torqe` meant? write `torque`
    ");
    insta::assert_snapshot!(said("rpm,Leistung (kW)\n2500,39\n3000,53\n"), @r"
    pull.csv:1: error: no column of torque in this table
        rpm,Leistung (kW)
      name one of its columns `torque`
    ");
    insta::assert_snapshot!(said("rpm,torque (Nm)\n2500,139,5\n3000,153,5\n"), @r"
    pull.csv:2: error: this row has 3 cells, and 2 columns are named
        2500,139,5
      name every column; where commas part decimals, part the cells by semicolons
    pull.csv:3: error: this row has 3 cells, and 2 columns are named
        3000,153,5
      name every column; where commas part decimals, part the cells by semicolons
    ");
}

#[test]
fn a_column_of_another_dimension_can_have_gaps() {
    let table = table("rpm,torque,height (m)\n2500,1,\n3000,2,12.5\n3500,3,n/a\n");
    let column = table.find(&["height"]).unwrap();
    let values = table.with_gaps(column, &LENGTH, None, &mut Findings::new());
    assert_eq!(values, Some(vec![None, Some(12.5), None]));
}

#[test]
fn two_columns_of_one_name_are_refused_where_they_differ() {
    let said = said("rpm,torque (Nm),n,Torque (Nm)\n2500,139,1,139\n3000,153,1,160\n");
    assert!(
        said.contains("pull.csv:1:19: error: columns 2 and 4 are both called `torque`")
            && said.contains("as `torque (Nm)` and `Torque (Nm)`, and differ in row 2")
            && said.contains("rename the one that does not count"),
        "{said}"
    );
}

#[test]
fn headings_that_repeat_are_runs_side_by_side() {
    let said = said("rpm,torque (Nm),rpm,torque (Nm)\n2500,139,2500,140\n3000,153,3000,160\n");
    assert!(said.contains("several runs side by side?"), "{said}");
}

#[test]
fn two_columns_that_say_the_same_are_one() {
    for text in [
        "rpm,torque (Nm),torque (Nm)\n2500,139,139\n3000,153,153.4\n",
        "rpm,torque (Nm),torque (lb-ft)\n2500,139,102.5\n3000,153,112.8\n",
        "rpm,torque (Nm),torque (%)\n2500,139,80\n3000,153,90\n",
    ] {
        assert_eq!(said(text), "", "{text}");
    }
}

#[test]
fn a_faulty_row_is_one_fault() {
    let mut findings = Findings::new();
    let source = Source::new("pull.csv", "rpm,torque (Nm)\n2500,139\nx,y\n3000,z\n");
    let table = Table::parse(source, &mut findings).unwrap();
    let rpm = table.numbers(0, &ENGINE_SPEED, Some("rpm"), &mut findings);
    let torque = table.numbers(1, &TORQUE, None, &mut findings);
    assert_eq!((rpm, torque), (None, None));
    let lines: Vec<u32> = findings
        .iter()
        .map(|finding| finding.position.as_ref().unwrap().line)
        .collect();
    assert_eq!(lines, [3, 4], "{findings:?}");
}

#[test]
fn a_table_beyond_the_limit_is_refused() {
    let rows = "1,2\n".repeat(1_000_001);
    let said = said(&format!("rpm,torque (Nm)\n{rows}"));
    assert!(said.contains("pull.csv:1000002: error: "), "{said}");
    assert!(said.contains("more than 1000000 rows"), "{said}");
}

#[test]
fn a_unit_may_stand_in_the_cells_alone() {
    let table = table("rpm;torque\n2500 U/min;102,5 lb-ft\n3000 U/min;112,8 lb-ft\n");
    let torque = table.numbers(1, &TORQUE, None, &mut Findings::new());
    assert!((torque.unwrap()[0] - 138.97).abs() < 0.01);
    assert!(said("rpm;torque\n2500;102,5\n3000;112,8\n").contains("has no unit"));
}

/// Lines about the run that hold numbers are no rows, and rows out of place stay rows.
#[test]
fn the_line_right_above_the_rows_heads_them() {
    let rows = "2500,139,13.1\n3000,153,13.0\n";
    for (above, header, first) in [
        (
            "Bore,86,Stroke\nMax rpm,7200,Min rpm,2500\nrpm,torque,AFR\n",
            2,
            3,
        ),
        (
            "Owner,Whitlow,Club,East\nPeak,176.1,at,4500\n,,\nrpm,torque,AFR,note\n",
            3,
            4,
        ),
        ("Run,,1,,2\n\nrpm,torque,AFR\nrpm,Nm,-\n", 2, 4),
        (",1,1\nrpm,torque,AFR\n", 1, 2),
        ("18 C,1009 hPa,40 %\nrpm,torque,AFR\n", 1, 2),
        ("Peak torque,peak power\n176,102\n\nrpm,torque,AFR\n", 3, 4),
        ("rpm,torque,AFR\nPeak,176.1,4500\n", 0, 1),
        ("rpm,torque,AFR\nPeak,176.1,4500\nhot,hot\n", 0, 1),
        ("rpm,torque,AFR\nPeak,176.1,4500\n-,-,n/a\n", 0, 1),
        ("rpm,torque,AFR\n2400,136,13.2\nrpm,torque,AFR\n", 0, 1),
        ("a,b\n2400,136\n2600,138\nrpm,torque,AFR\n", 0, 1),
        ("rpm,torque,AFR\n# cold\n\n", 0, 1),
    ] {
        let layout = layout(&format!("{above}{rows}"));
        assert_eq!(
            (layout.header, layout.first),
            (Some(header), first),
            "{above}"
        );
    }
}

#[test]
fn runs_beside_one_column_of_speed_are_runs_side_by_side() {
    for text in [
        "rpm,torque (Nm),kW,torque (Nm),kW\n2500,139,36,140,37\n3000,153,48,160,50\n",
        "rpm,,torque (Nm),kW,torque (Nm),kW,\n2500,,139,36,140,37,\n3000,,153,48,160,50,\n",
    ] {
        assert!(said(text).contains("several runs side by side?"), "{text}");
    }
    let one = said("rpm,torque (Nm),kW,torque (Nm)\n2500,139,36,140\n3000,153,48,160\n");
    assert!(one.contains("rename the one"), "{one}");
}
