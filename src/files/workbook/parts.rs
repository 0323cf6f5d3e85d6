//! The package of a workbook: its parts, unpacked against limits, and what they say of its sheets.

use std::collections::HashMap;
use std::io::{Cursor, Read};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;

/// Most parts of one package.
const MOST_PARTS: usize = 5_000;
/// Most bytes of one part, unpacked, and of all that are read.
const LARGEST: u64 = 100 << 20;
const ALL: u64 = 200 << 20;
/// The same for small files: so much, and so many times the bytes of the file. Sheets of numbers pack to a tenth.
const SMALL: u64 = 1 << 20;
const TIMES: u64 = 100;
/// Most texts that cells share.
const MOST_STRINGS: usize = 2_000_000;
/// Elements inside each other: no spreadsheet writes more.
const DEEPEST: usize = 64;

const BOOK: &str = "xl/workbook.xml";
const LINKS: &str = "xl/_rels/workbook.xml.rels";

/// The package.
pub struct Parts {
    zip: ZipArchive<Cursor<Vec<u8>>>,
    /// Bytes that may still be unpacked.
    left: u64,
}

/// What a workbook says of itself.
pub struct Book {
    /// Name of each sheet, whether it is hidden, and its part.
    pub sheets: Vec<(String, bool, String)>,
    /// The texts that cells share.
    pub strings: Strings,
    /// The part of styles.
    pub styles: Option<String>,
    /// Whether dates count from 1904.
    pub from_1904: bool,
}

/// Texts that cells share, one behind another.
#[derive(Default)]
pub struct Strings {
    text: String,
    ends: Vec<u32>,
}

impl Strings {
    /// A text by its number, from 0.
    pub fn get(&self, index: usize) -> Option<&str> {
        let end = *self.ends.get(index)? as usize;
        let start = match index {
            0 => 0,
            _ => self.ends[index - 1] as usize,
        };
        Some(&self.text[start..end])
    }
}

/// Each event of some XML with the elements that are open around it; stops where `each` says why.
pub fn walk<'x>(
    xml: &'x str,
    mut each: impl FnMut(&Event<'x>, usize) -> Result<(), String>,
) -> Result<(), String> {
    let mut reader = Reader::from_str(xml);
    let mut depth = 0;
    loop {
        let event = reader.read_event();
        let event = event.map_err(|error| format!("there is no sound XML in it: {error}"))?;
        match &event {
            Event::Start(_) if depth == DEEPEST => {
                return Err("elements are nested too deeply".to_owned());
            }
            Event::Start(_) => depth += 1,
            Event::End(_) => depth = depth.saturating_sub(1),
            Event::DocType(_) => return Err("it declares a document type".to_owned()),
            Event::Eof if depth == 0 => return Ok(()),
            Event::Eof => return Err("a part of it ends inside an element".to_owned()),
            _ => {}
        }
        each(&event, depth)?;
    }
}

/// What an attribute of an element says, whatever its prefix.
pub fn attribute(element: &BytesStart, name: &str) -> Option<String> {
    let mut all = element.attributes().flatten();
    let found = all.find(|attribute| attribute.key.local_name().as_ref() == name)?;
    let mut text = String::new();
    resolved(&found.value, &mut text);
    Some(text)
}

/// Adds a text whose entities are resolved.
fn resolved(written: &str, text: &mut String) {
    let mut rest = written;
    while let Some(at) = rest.find('&') {
        text.push_str(&rest[..at]);
        let Some(end) = rest[at..].find(';') else {
            rest = &rest[at..];
            break;
        };
        text.extend(entity(&rest[at + 1..at + end]));
        rest = &rest[at + end + 1..];
    }
    text.push_str(rest);
}

/// The letter that an entity stands for; others stand for nothing: none are declared.
pub fn entity(name: &str) -> Option<char> {
    match name {
        "amp" => Some('&'),
        "lt" => Some('<'),
        "gt" => Some('>'),
        "quot" => Some('"'),
        "apos" => Some('\''),
        _ => {
            let number = name.strip_prefix('#')?;
            let code = match number.strip_prefix(['x', 'X']) {
                Some(hex) => u32::from_str_radix(hex, 16).ok()?,
                None => number.parse().ok()?,
            };
            char::from_u32(code)
        }
    }
}

/// Whether what an attribute says is yes.
pub fn is_yes(value: Option<String>) -> bool {
    value.is_some_and(|value| value == "1" || value == "true")
}

impl Parts {
    /// Opens a package.
    pub fn new(bytes: Vec<u8>) -> Result<Self, String> {
        let mut found = 0;
        // Counted before any list of them is made.
        for at in 0..bytes.len().saturating_sub(3) {
            found += usize::from(bytes[at] == b'P' && bytes[at..].starts_with(b"PK\x01\x02"));
        }
        if found > MOST_PARTS {
            return Err(format!("it holds more than {MOST_PARTS} parts"));
        }
        let left = ALL.min(SMALL + TIMES * bytes.len() as u64);
        let zip = ZipArchive::new(Cursor::new(bytes));
        let zip = zip.map_err(|_| "it is damaged or not all there".to_owned())?;
        Ok(Self { zip, left })
    }

    /// A part as text.
    pub fn text(&mut self, name: &str) -> Result<String, String> {
        let file = self.zip.by_name(name);
        let file =
            file.map_err(|_| format!("its part `{}` is missing or damaged", printed(name)))?;
        let most = LARGEST.min(self.left);
        let mut bytes = Vec::new();
        let read = file.take(most + 1).read_to_end(&mut bytes);
        read.map_err(|_| format!("its part `{}` is damaged", printed(name)))?;
        if bytes.len() as u64 > most {
            return Err("it unpacks to far more than a workbook of its size holds".to_owned());
        }
        self.left -= bytes.len() as u64;
        if bytes.starts_with(b"\xef\xbb\xbf") {
            bytes.drain(..3);
        }
        String::from_utf8(bytes).map_err(|_| format!("its part `{}` is not UTF-8", printed(name)))
    }

    /// What the workbook says of itself.
    pub fn book(&mut self) -> Result<Book, String> {
        let (mut sheets, mut from_1904) = (Vec::new(), false);
        let links = self.links()?;
        let xml = self.text(BOOK)?;
        walk(&xml, |event, _| {
            let (Event::Start(element) | Event::Empty(element)) = event else {
                return Ok(());
            };
            match element.local_name().as_ref() {
                "workbookPr" => from_1904 = is_yes(attribute(element, "date1904")),
                "sheet" => {
                    let hidden =
                        attribute(element, "state").is_some_and(|state| state != "visible");
                    let name = attribute(element, "name").unwrap_or_default();
                    // `sheetId` has another local name.
                    let link = attribute(element, "id").and_then(|id| links.get(&id));
                    let (kind, part) = link.ok_or_else(|| {
                        format!("it does not say where its sheet `{}` is", printed(&name))
                    })?;
                    if kind.ends_with("/worksheet") {
                        sheets.push((name, hidden, part.clone()));
                    }
                }
                _ => {}
            }
            Ok(())
        })?;
        let part = |end: &str| {
            let mut all = links.values();
            all.find(|(kind, _)| kind.ends_with(end))
                .map(|(_, part)| part.clone())
        };
        let strings = match part("/sharedStrings") {
            Some(part) => strings(&self.text(&part)?)?,
            None => Strings::default(),
        };
        let styles = match part("/styles") {
            Some(part) => Some(self.text(&part)?),
            None => None,
        };
        Ok(Book {
            sheets,
            strings,
            styles,
            from_1904,
        })
    }

    /// What the workbook's parts go by: of each its kind and where it is.
    fn links(&mut self) -> Result<HashMap<String, (String, String)>, String> {
        let xml = self.text(LINKS)?;
        let mut links = HashMap::new();
        walk(&xml, |event, _| {
            if let Event::Start(element) | Event::Empty(element) = event
                && element.local_name().as_ref() == "Relationship"
            {
                let said = ["Id", "Type", "Target"].map(|name| attribute(element, name));
                if let [Some(id), Some(kind), Some(target)] = said {
                    let part = match target.strip_prefix('/') {
                        Some(whole) => whole.to_owned(),
                        None => format!("xl/{target}"),
                    };
                    links.insert(id, (kind, part));
                }
            }
            Ok(())
        })?;
        Ok(links)
    }
}

/// The start of a name, for a message.
fn printed(name: &str) -> String {
    name.chars().take(60).collect()
}

/// The texts that cells share: those of an entry's runs one after another, without what tells how to read them.
fn strings(xml: &str) -> Result<Strings, String> {
    let mut all = Strings::default();
    let (mut in_text, mut phonetic) = (false, false);
    walk(xml, |event, _| {
        match event {
            Event::Start(element) => match element.local_name().as_ref() {
                "t" => in_text = !phonetic,
                "rPh" => phonetic = true,
                _ => {}
            },
            Event::End(element) => match element.local_name().as_ref() {
                "t" => in_text = false,
                "rPh" => phonetic = false,
                "si" => all.ends.push(all.text.len() as u32),
                _ => {}
            },
            Event::Empty(element) if element.local_name().as_ref() == "si" => {
                all.ends.push(all.text.len() as u32);
            }
            Event::Text(text) if in_text => all.text.push_str(text),
            Event::CData(text) if in_text => all.text.push_str(text),
            Event::GeneralRef(name) if in_text => all.text.extend(entity(name)),
            _ => {}
        }
        match all.ends.len() > MOST_STRINGS {
            true => Err(format!("it holds more than {MOST_STRINGS} texts")),
            false => Ok(()),
        }
    })?;
    Ok(all)
}
