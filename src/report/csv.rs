//! Comma-separated values with one header line; names end in their unit.

use csv::WriterBuilder;

/// Rows under a header; fields are quoted where they need it.
pub fn table(header: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut writer = WriterBuilder::new().from_writer(Vec::new());
    // Writing to memory does not fail, nor do rows as long as their header.
    let _ = writer.write_record(header);
    for row in rows {
        let _ = writer.write_record(&row);
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes).into_owned()
}

/// A number, or nothing.
pub fn number(value: Option<f64>, decimals: usize) -> String {
    value
        .map(|v| super::format::decimal(v, decimals))
        .unwrap_or_default()
}
