//! Files that are no text, told by how they begin.

use std::path::Path;

use super::finding::{Finding, Position};

/// Bytes at the front in which what a packed file holds is looked for.
const LOOKED_AT: usize = 4096;
/// What packed files of spreadsheets and other office programs have in them.
const OFFICE: [&[u8]; 3] = [
    b"[Content_Types].xml",
    b"application/vnd.oasis.opendocument",
    b"xl/workbook",
];

const EXPORT: &str =
    "in the program that made it save it as .xlsx, or export the table as CSV, and name that file";
const OPEN: &str =
    "open it with the password and save it without one as .xlsx, or the table as CSV";
/// What a workbook under a password has in it, in the letters of its list of streams.
const LOCKED: &str = "EncryptedPackage";
const SAVE: &str = "open it in a spreadsheet, save the table as CSV, and name that file";
const UNPACK: &str = "unpack it, and name the file inside";
const TYPE: &str =
    "export the table as CSV where it was made, or type its figures into a table of text";

/// First bytes of a kind of file, what it is, and what to do.
const KINDS: [(&[u8], &str, &str); 9] = [
    (
        b"\xd0\xcf\x11\xe0",
        "the document of an office program",
        EXPORT,
    ),
    (b"%PDF", "a PDF", TYPE),
    (b"\xff\xd8\xff", "a picture", TYPE),
    (b"\x89PNG", "a picture", TYPE),
    (b"\x1f\x8b", "a packed file (gzip)", UNPACK),
    (b"BZh", "a packed file (bzip2)", UNPACK),
    (b"\xfd7zXZ", "a packed file (xz)", UNPACK),
    (b"7z\xbc\xaf", "a packed file (7z)", UNPACK),
    (b"Rar!", "a packed file (rar)", UNPACK),
];

/// Whether a file is a web page, as programs write tables that they call those of a spreadsheet.
fn is_web_page(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(&bytes[..bytes.len().min(LOOKED_AT)]).to_lowercase();
    let text = text.trim_start_matches('\u{feff}').trim_start();
    ["<html", "<!doctype html", "<table", "<head"]
        .iter()
        .any(|begin| text.starts_with(begin))
}

/// The fault of a file that is known not to be text; `None` where it may be.
pub fn fault(path: &Path, bytes: &[u8]) -> Option<Finding> {
    let zip = [&b"PK\x03\x04"[..], b"PK\x05\x06"];
    let (what, remedy) = match zip.iter().any(|begin| bytes.starts_with(begin)) {
        true if has_office(&bytes[..bytes.len().min(LOOKED_AT)]) => {
            ("the workbook of a spreadsheet", EXPORT)
        }
        true => ("a packed file (zip)", UNPACK),
        false if is_locked(bytes) => ("a document under a password", OPEN),
        false if is_web_page(bytes) => ("a web page", SAVE),
        false => {
            let (_, what, remedy) = KINDS.iter().find(|(begin, ..)| bytes.starts_with(begin))?;
            (*what, *remedy)
        }
    };
    let finding = Finding::error(format!("this file is {what}, and a text is wanted"));
    Some(finding.at(Position::file(path)).remedy(remedy))
}

fn is_locked(bytes: &[u8]) -> bool {
    let wide: Vec<u8> = LOCKED.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let holds = || bytes.windows(wide.len()).any(|part| part == wide);
    bytes.starts_with(b"\xd0\xcf\x11\xe0") && holds()
}

fn has_office(bytes: &[u8]) -> bool {
    let holds = |text: &[u8]| bytes.windows(text.len()).any(|part| part == text);
    OFFICE.into_iter().any(holds)
}
