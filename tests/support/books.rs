//! Workbooks of a few sheets.

use super::packed::packed;

/// A workbook of sheets: of each its name, what else its entry says, and the rows of XML in it.
pub fn workbook(sheets: &[(&str, &str, &str)], shared: &[&str]) -> Vec<u8> {
    const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
    let kind = |of: &str| {
        format!("http://schemas.openxmlformats.org/officeDocument/2006/relationships/{of}")
    };
    let (mut entries, mut links) = (String::new(), String::new());
    let mut parts: Vec<(String, String)> = Vec::new();
    for (number, (name, more, rows)) in (1..).zip(sheets) {
        entries +=
            &format!("<sheet name=\"{name}\" sheetId=\"{number}\" r:id=\"r{number}\" {more}/>");
        links += &format!(
            "<Relationship Id=\"r{number}\" Type=\"{}\" Target=\"worksheets/sheet{number}.xml\"/>",
            kind("worksheet")
        );
        let sheet = format!("{HEAD}<worksheet><sheetData>{rows}</sheetData></worksheet>");
        parts.push((format!("xl/worksheets/sheet{number}.xml"), sheet));
    }
    for (of, target) in [
        ("sharedStrings", "sharedStrings.xml"),
        ("styles", "styles.xml"),
    ] {
        links += &format!(
            "<Relationship Id=\"{of}\" Type=\"{}\" Target=\"{target}\"/>",
            kind(of)
        );
    }
    let strings: String = shared
        .iter()
        .map(|text| format!("<si><t>{text}</t></si>"))
        .collect();
    // Cells of the formats 0 to 6: plain, per cent, a clock, a date with a clock, a day, a lap.
    let styles = "<styleSheet><numFmts><numFmt numFmtId=\"164\" formatCode=\"hh:mm:ss.000\"/><numFmt numFmtId=\"165\" \
                  formatCode=\"dd/mm/yyyy hh:mm\"/></numFmts><cellXfs><xf numFmtId=\"0\"/><xf numFmtId=\"9\"/><xf \
                  numFmtId=\"164\"/><xf numFmtId=\"165\"/><xf numFmtId=\"14\"/><xf numFmtId=\"47\"/></cellXfs></styleSheet>";
    let book = format!("{HEAD}<workbook><sheets>{entries}</sheets></workbook>");
    let mut all = vec![
        ("[Content_Types].xml".to_owned(), format!("{HEAD}<Types/>")),
        ("xl/workbook.xml".to_owned(), book),
        (
            "xl/_rels/workbook.xml.rels".to_owned(),
            format!("{HEAD}<Relationships>{links}</Relationships>"),
        ),
        (
            "xl/sharedStrings.xml".to_owned(),
            format!("{HEAD}<sst>{strings}</sst>"),
        ),
        ("xl/styles.xml".to_owned(), format!("{HEAD}{styles}")),
    ];
    all.extend(parts);
    let all: Vec<(&str, &[u8])> = all
        .iter()
        .map(|(name, part)| (name.as_str(), part.as_bytes()))
        .collect();
    packed(&all)
}

/// Rows of XML: numbers as numbers, other words as texts in the cells themselves; empty ones are left out.
pub fn rows(rows: &[&[&str]]) -> String {
    let cell = |(column, text): (usize, &&str)| match text.parse::<f64>() {
        _ if text.is_empty() => String::new(),
        Ok(_) => format!(
            "<c r=\"{}ROW\"><v>{text}</v></c>",
            (b'A' + column as u8) as char
        ),
        Err(_) => format!(
            "<c r=\"{}ROW\" t=\"inlineStr\"><is><t>{text}</t></is></c>",
            (b'A' + column as u8) as char
        ),
    };
    let row = |(number, cells): (usize, &&[&str])| {
        let cells: String = cells.iter().enumerate().map(cell).collect();
        let number = (number + 1).to_string();
        format!(
            "<row r=\"{number}\">{}</row>",
            cells.replace("ROW", &number)
        )
    };
    rows.iter().enumerate().map(row).collect()
}
