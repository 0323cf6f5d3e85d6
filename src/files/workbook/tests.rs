use super::*;

#[path = "../../../tests/support/books.rs"]
mod books;
#[path = "../../../tests/support/packed.rs"]
mod packed;

use books::{rows, workbook};
use packed::packed;

fn open(bytes: Vec<u8>) -> Result<Workbook, String> {
    Workbook::of(Path::new("day.xlsx"), bytes).map_err(|finding| finding.to_string())
}

fn sheet(rows: &str, shared: &[&str]) -> Result<String, String> {
    let mut book = open(workbook(&[("Run 3", "", rows)], shared))?;
    let source = book.source("Run 3", &mut Findings::new());
    source
        .map(|source| source.text)
        .map_err(|finding| finding.to_string())
}

#[test]
fn cells_are_parted_by_tabs_and_rows_stay_where_they_are() {
    let text = sheet(
        "<row r=\"2\"><c r=\"B2\" t=\"s\"><v>1</v></c><c r=\"D2\" t=\"s\"><v>0</v></c></row>\
         <row r=\"5\"><c r=\"B5\"><v>2500</v></c><c r=\"C5\"/><c r=\"D5\"><f>SUM(A1:A9)</f><v>139.50000000000003</v></c></row>\
         <row><c><v>1</v></c><c t=\"inlineStr\"><is><r><t>a &amp; </t></r><r><t>\"b\"\n</t></r></is></c></row>",
        &["torque (Nm)", "rpm"],
    );
    assert_eq!(
        text.unwrap(),
        "\n\trpm\t\ttorque (Nm)\n\n\n\t2500\t\t139.5\n1\ta & \u{2033}b\u{2033}"
    );
}

#[test]
fn numbers_are_those_that_the_spreadsheet_shows() {
    let of = |format: usize, value: &str| {
        let row = format!("<row r=\"1\"><c r=\"A1\" s=\"{format}\"><v>{value}</v></c></row>");
        sheet(&row, &[]).unwrap()
    };
    for (format, value, shown) in [
        (0, "1.5E3", "1500"),
        // A point before three figures parts no thousands.
        (0, "1.234", "1.2340"),
        (0, "-0.1", "-0.1"),
        (0, "1e300", "1e300"),
        (1, "0.183", "18.3%"),
        (2, "0.44611111111111112", "10:42:24"),
        (2, "45413.500001157405", "12:00:00.100"),
        (3, "45413.4375", "2024-05-01 10:30:00"),
        (4, "45351", "2024-02-29"),
        (4, "59", "1900-02-28"),
        (5, "9.6527777777777777E-4", "0:01:23.400"),
        (99, "7", "7"),
    ] {
        assert_eq!(of(format, value), shown, "{format} {value}");
    }
}

/// An error stays what it is and begins no comment, a heading `#` beside others neither.
#[test]
fn what_begins_a_comment_in_a_text_is_a_cell_here() {
    let rows = "<row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>#</t></is></c><c r=\"B1\"><v>1</v></c></row>\
                <row r=\"2\"><c r=\"A2\" t=\"e\"><v>#DIV/0!</v></c><c r=\"B2\" t=\"b\"><v>1</v></c></row>\
                <row r=\"3\"><c r=\"A3\" t=\"inlineStr\"><is><t># cold oil</t></is></c></row>";
    assert_eq!(
        sheet(rows, &[]).unwrap(),
        "\"#\"\t1\n\"#DIV/0!\"\tTRUE\n# cold oil"
    );
}

#[test]
fn hidden_rows_are_told_and_sheets_known_by_name() {
    let hidden = "<row r=\"1\"><c r=\"A1\"><v>1</v></c></row><row r=\"2\" hidden=\"1\"><c r=\"A2\"><v>2</v></c></row>";
    let bytes = workbook(&[("A/B", "", hidden), ("Old", "state=\"hidden\"", "")], &[]);
    let mut book = open(bytes).unwrap();
    assert_eq!(book.shown(), ["A_B"]);
    let mut findings = Findings::new();
    let source = book.source("A_B", &mut findings).unwrap();
    assert_eq!(source.path, Path::new("day.xlsx/A_B"));
    let said = format!("{}", findings.iter().next().unwrap());
    assert!(
        said.starts_with("day.xlsx, sheet A_B, row 2: warning: 1 row"),
        "{said}"
    );
    let said = book.source("Run", &mut findings).unwrap_err().to_string();
    assert!(said.contains("its sheets are `A_B`, `Old`"), "{said}");
}

#[test]
fn what_is_damaged_or_makes_no_sense_is_refused() {
    let good = workbook(&[("Run", "", "")], &["x"]);
    for cut in [good.len() - 1, good.len() / 2, 40] {
        assert!(open(good[..cut].to_vec()).is_err(), "{cut}");
    }
    for (rows, why) in [
        ("<row r=\"2\"/><row r=\"2\"/>", "after row 2 comes none"),
        ("<row r=\"1048577\"/>", "after row 0"),
        (
            "<row r=\"1\"><c r=\"B1\"/><c r=\"A1\"/></row>",
            "not in order",
        ),
        ("<row r=\"1\"><c r=\"XFE1\"/></row>", "not in order"),
        (
            "<row r=\"1\"><c t=\"s\"><v>7</v></c></row>",
            "a text that is not there",
        ),
        ("<row><c></row>", "no sound XML"),
    ] {
        let said = sheet(rows, &["x"]).unwrap_err();
        assert!(said.contains(why), "{rows}: {said}");
    }
    let deep = "<a>".repeat(100_000) + &"</a>".repeat(100_000);
    assert!(sheet(&deep, &[]).unwrap_err().contains("too deeply"));
    let many: Vec<String> = (0..101).map(|number| number.to_string()).collect();
    let many: Vec<(&str, &str, &str)> = many.iter().map(|name| (name.as_str(), "", "")).collect();
    assert!(
        open(workbook(&many, &[]))
            .err()
            .unwrap()
            .contains("100 sheets")
    );
    let parts: Vec<(&str, &[u8])> = (0..5_001).map(|_| ("xl/workbook.xml", &b""[..])).collect();
    assert!(open(packed(&parts)).err().unwrap().contains("5000 parts"));
}

/// A cell in the last corner takes a line for each row before it, and far cells in many rows are too much.
#[test]
fn far_cells_take_what_they_need_and_no_more() {
    let far = sheet(
        "<row r=\"1048576\"><c r=\"XFD1048576\"><v>1</v></c></row>",
        &[],
    );
    assert_eq!(far.unwrap().len(), 1_048_575 + 16_383 + 1);
    let many: String = (1..5000)
        .map(|row| format!("<row r=\"{row}\"><c r=\"XFD{row}\"><v>1</v></c></row>"))
        .collect();
    assert!(sheet(&many, &[]).unwrap_err().contains("more than 64 MB"));
}

/// 20 MB of blanks, packed to 20 kB.
#[test]
fn what_unpacks_to_far_more_than_it_should_is_refused() {
    use std::io::{Cursor, Write};
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let stored =
        zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    let packed = stored.compression_method(zip::CompressionMethod::Deflated);
    let link = "<Relationships><Relationship Id=\"a\" Type=\"x/worksheet\" Target=\"s.xml\"/></Relationships>";
    for (name, text) in [
        (
            "xl/workbook.xml",
            "<workbook><sheet name=\"Run\" id=\"a\"/></workbook>",
        ),
        ("xl/_rels/workbook.xml.rels", link),
    ] {
        zip.start_file(name, stored).unwrap();
        zip.write_all(text.as_bytes()).unwrap();
    }
    zip.start_file("xl/s.xml", packed).unwrap();
    zip.write_all(&vec![b' '; 20 << 20]).unwrap();
    let bytes = zip.finish().unwrap().into_inner();
    assert!(bytes.len() < 100_000);
    let mut book = open(bytes).unwrap();
    let said = book.source("Run", &mut Findings::new()).unwrap_err();
    assert!(said.text.contains("unpacks to far more"), "{said}");
}

#[test]
fn tables_are_found_among_notes_and_several_are_asked_about() {
    let table = rows(&[&["rpm", "torque (Nm)"], &["2500", "139"], &["3000", "153"]]);
    let notes = rows(&[&["Cold day"], &["new plugs"]]);
    let mut one = open(workbook(&[("Notes", "", &notes), ("Run", "", &table)], &[])).unwrap();
    let found = one.only_table(&mut Findings::new()).unwrap();
    assert_eq!(found.path, Path::new("day.xlsx/Run"));
    let mut two = open(workbook(
        &[("Run 1", "", &table), ("Run 2", "", &table)],
        &[],
    ))
    .unwrap();
    let said = two
        .only_table(&mut Findings::new())
        .unwrap_err()
        .to_string();
    assert!(
        said.contains("as in `{file: day.xlsx, sheet: Run 1}`"),
        "{said}"
    );
    let mut none = open(workbook(&[("Notes", "", &notes), ("More", "", "")], &[])).unwrap();
    let said = none.only_table(&mut Findings::new()).unwrap_err();
    assert!(said.text.contains("no sheet of this workbook"), "{said}");
}
