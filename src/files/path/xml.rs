//! GPX: tracks and routes with their points, heights and times (the GPX 1.1 schema, from memory); and KML, whose
//! texts are read in [`super::kml`].

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::{Line, MOST_POINTS, instant, kml};
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::source::{Mark, Source};
use crate::units;
use crate::venue::path::geodesy::LatLon;
use crate::venue::path::{Fix, Place};

/// Faults of one file that are listed.
const LISTED: usize = 5;
/// Elements inside each other: no recorder writes more.
const DEEPEST: usize = 64;

/// The tracks and routes of a GPX file, the lines and recordings of a KML file.
pub(super) fn lines(source: &Source, findings: &mut Findings) -> Option<Vec<Line>> {
    let mut parser = Parser::new(source);
    let done = parser.run();
    let faults = parser.faults.len();
    for fault in parser.faults.drain(..).take(LISTED) {
        findings.push(fault);
    }
    if faults > LISTED {
        let text = format!("{} more points of this file are at fault", faults - LISTED);
        findings.push(source.finding(Severity::Error, Mark::default(), text));
    }
    match done {
        Err(fault) => {
            findings.push(*fault);
            None
        }
        Ok(()) if faults > 0 => None,
        Ok(()) if parser.lines.is_empty() && !known(parser.root.as_deref()) => {
            let root = parser.root.unwrap_or_default();
            let text = format!(
                "this is XML, but neither GPX nor KML: it begins with {}",
                quoted(&root)
            );
            let finding = source.finding(Severity::Error, Mark::default(), text);
            findings.push(finding.remedy("export the road as GPX or GeoJSON"));
            None
        }
        Ok(()) => Some(parser.lines),
    }
}

fn known(root: Option<&str>) -> bool {
    matches!(root, Some("gpx" | "kml"))
}

/// Elements that matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Element {
    Line,
    Point,
    Height,
    Time,
    Name,
    /// A line or a recording of KML.
    Drawn,
    /// A place or a line of KML, which has a name.
    Placemark,
    /// Parts of one line, of KML.
    Parts,
    /// The points of a line of KML, all in one text.
    Coordinates,
    /// One point of a recording of KML.
    Coordinate,
    /// How heights of KML are meant.
    Altitude,
    Other,
}

impl Element {
    fn of(name: &str) -> Self {
        match name {
            "trk" | "rte" => Self::Line,
            "LineString" | "LinearRing" | "Track" => Self::Drawn,
            "trkpt" | "rtept" => Self::Point,
            "ele" => Self::Height,
            "time" | "when" => Self::Time,
            "name" => Self::Name,
            "Placemark" => Self::Placemark,
            "MultiGeometry" | "MultiTrack" => Self::Parts,
            "coordinates" => Self::Coordinates,
            "coord" => Self::Coordinate,
            "altitudeMode" => Self::Altitude,
            _ => Self::Other,
        }
    }
}

/// What the text of the element being read is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Text {
    Height,
    Time,
    Name,
    /// Of a recording of KML.
    When,
    NameOfLines,
    Coordinates,
    Coordinate,
    Altitude,
}

struct Parser<'a> {
    source: &'a Source,
    lines: Vec<Line>,
    faults: Vec<Finding>,
    /// The open elements.
    open: Vec<Element>,
    /// The text collected for the element being read.
    text: String,
    /// Name of the first element.
    root: Option<String>,
    /// Points so far.
    points: usize,
    /// Bytes counted so far and the line they end on.
    counted: (usize, u32),
    /// What is read of KML.
    kml: kml::Open,
}

impl<'a> Parser<'a> {
    fn new(source: &'a Source) -> Self {
        Self {
            source,
            lines: Vec::new(),
            faults: Vec::new(),
            open: Vec::new(),
            text: String::new(),
            root: None,
            points: 0,
            counted: (0, 1),
            kml: kml::Open::default(),
        }
    }

    fn run(&mut self) -> Result<(), Box<Finding>> {
        let mut reader = Reader::from_str(&self.source.text);
        loop {
            let event = match reader.read_event() {
                Ok(event) => event,
                Err(error) => {
                    let at = reader.error_position() as usize;
                    return Err(self.broken(at, &error.to_string()));
                }
            };
            let at = reader.buffer_position() as usize;
            match event {
                Event::Start(element) => self.begin(&element, at, true)?,
                Event::Empty(element) => self.begin(&element, at, false)?,
                Event::End(_) => self.end(at),
                Event::Text(text) if self.wanted().is_some() => {
                    self.text.push_str(&text);
                }
                Event::CData(text) if self.wanted().is_some() => {
                    self.text.push_str(&text);
                }
                Event::GeneralRef(name) if self.wanted().is_some() => {
                    self.text.push_str(match &*name {
                        "amp" => "&",
                        "lt" => "<",
                        "gt" => ">",
                        "quot" => "\"",
                        "apos" => "'",
                        // Others stand for nothing: none are declared.
                        _ => "",
                    });
                }
                Event::DocType(_) => {
                    return Err(
                        self.broken(at, "it declares a document type, which may hold entities")
                    );
                }
                Event::Eof if self.open.is_empty() => return Ok(()),
                Event::Eof => {
                    return Err(self.broken(at, "it ends inside an element"));
                }
                _ => {}
            }
        }
    }

    /// The line of a byte; bytes are asked for in order.
    fn row(&mut self, at: usize) -> u32 {
        let (from, line) = self.counted;
        let at = at.min(self.source.text.len());
        if at > from {
            let passed = &self.source.text.as_bytes()[from..at];
            self.counted = (
                at,
                line + passed.iter().filter(|b| **b == b'\n').count() as u32,
            );
        }
        self.counted.1
    }

    fn broken(&mut self, at: usize, why: &str) -> Box<Finding> {
        let mark = Mark {
            line: self.row(at),
            column: 1,
            width: 1,
        };
        let text = format!("this is not sound XML: {why}");
        Box::new(self.source.finding(Severity::Error, mark, text))
    }

    fn fault(&mut self, at: usize, text: String, remedy: &str) {
        let mark = Mark {
            line: self.row(at),
            column: 1,
            width: 1,
        };
        self.faults.push(
            self.source
                .finding(Severity::Error, mark, text)
                .remedy(remedy),
        );
    }

    fn begin(&mut self, element: &BytesStart, at: usize, open: bool) -> Result<(), Box<Finding>> {
        if self.root.is_none() {
            self.root = Some(element.local_name().as_ref().to_owned());
        }
        let name = Element::of(element.local_name().as_ref());
        match name {
            Element::Line | Element::Drawn => self.lines.push(Line::default()),
            Element::Point if self.points == MOST_POINTS => {
                let text = format!("it has more than {MOST_POINTS} points");
                return Err(self.broken(at, &text));
            }
            Element::Point => self.point(element, at),
            Element::Placemark | Element::Parts if open => self.kml.begin(self.lines.len()),
            Element::Coordinate if !open => self.unknown(),
            _ => {}
        }
        if open {
            if self.open.len() >= DEEPEST {
                return Err(self.broken(at, "elements are nested too deeply"));
            }
            self.open.push(name);
            self.text.clear();
        }
        Ok(())
    }

    fn point(&mut self, element: &BytesStart, at: usize) {
        self.points += 1;
        let (mut lat, mut lon) = (None, None);
        for attribute in element.attributes().flatten() {
            let value = attribute.value;
            let number = value.trim().parse::<f64>().ok().filter(|v| v.is_finite());
            match attribute.key.as_ref() {
                "lat" => lat = Some((number, value.into_owned())),
                "lon" => lon = Some((number, value.into_owned())),
                _ => {}
            }
        }
        let (Some((lat, lat_text)), Some((lon, lon_text))) = (lat, lon) else {
            let remedy = "write both, as in `<trkpt lat=\"45.0\" lon=\"7.0\">`";
            return self.fault(
                at,
                "this point has no latitude or no longitude".to_owned(),
                remedy,
            );
        };
        let (Some(lat), Some(lon)) = (lat, lon) else {
            let which = if lat.is_none() { &lat_text } else { &lon_text };
            let text = format!("{} is no number of degrees", quoted(which));
            return self.fault(at, text, "write degrees with a decimal point");
        };
        let row = self.row(at);
        if let Some(line) = self.lines.last_mut() {
            let place = Place::LatLon(LatLon { lat, lon });
            line.fixes.push(Fix {
                place,
                height: None,
                time: None,
            });
            line.rows.push(row);
        }
    }

    /// What the text of the innermost element is for.
    fn wanted(&self) -> Option<Text> {
        match self.open.as_slice() {
            [.., Element::Point, Element::Height] => Some(Text::Height),
            [.., Element::Point, Element::Time] => Some(Text::Time),
            [.., Element::Line, Element::Name] => Some(Text::Name),
            [.., Element::Drawn, Element::Time] => Some(Text::When),
            [.., Element::Drawn, Element::Coordinates] => Some(Text::Coordinates),
            [.., Element::Drawn, Element::Coordinate] => Some(Text::Coordinate),
            [.., Element::Drawn, Element::Altitude] => Some(Text::Altitude),
            [.., Element::Placemark, Element::Name] => Some(Text::NameOfLines),
            _ => None,
        }
    }

    fn end(&mut self, at: usize) {
        let wanted = self.wanted();
        match self.open.pop() {
            Some(Element::Drawn) => self.kml.end_line(self.lines.last_mut()),
            Some(Element::Placemark) => self.kml.end_placemark(&mut self.lines),
            Some(Element::Parts) => self.kml.end_parts(&mut self.lines),
            _ => {}
        }
        let Some(wanted) = wanted else { return };
        let text = std::mem::take(&mut self.text);
        let text = text.trim();
        let line = self.lines.last_mut();
        match wanted {
            Text::NameOfLines => self.kml.name(text),
            Text::Altitude => self.kml.altitude(text),
            Text::Coordinates => text
                .split_ascii_whitespace()
                .for_each(|text| self.drawn(at, text, ',')),
            Text::Coordinate if text.is_empty() => self.unknown(),
            Text::Coordinate => self.drawn(at, text, ' '),
            Text::When if self.kml.time(text) => {}
            Text::When => self.no_time(at, text),
            Text::Name => {
                if let Some(line) = line {
                    line.name = Some(text.to_owned()).filter(|name| !name.is_empty());
                }
            }
            Text::Height => match units::number(text) {
                Ok((height, "" | "m")) => {
                    if let Some(fix) = line.and_then(|line| line.fixes.last_mut()) {
                        fix.height = Some(height);
                    }
                }
                _ if text.is_empty() => {}
                _ => self.fault(at, format!("{} is no height", quoted(text)), "write metres"),
            },
            Text::Time => match instant(text) {
                Some(time) => {
                    if let Some(fix) = line.and_then(|line| line.fixes.last_mut()) {
                        fix.time = Some(time);
                    }
                }
                None if text.is_empty() => {}
                None => self.no_time(at, text),
            },
        }
    }

    fn no_time(&mut self, at: usize, text: &str) {
        let text = format!("{} is no date and time of the calendar", quoted(text));
        self.fault(at, text, "write it as in `2024-05-01T10:20:30Z`");
    }

    /// A point of a recording whose place was not known.
    fn unknown(&mut self) {
        let known = self.lines.last().map_or(0, |line| line.fixes.len());
        self.kml.unknown(known);
    }

    /// A point of KML.
    fn drawn(&mut self, at: usize, text: &str, between: char) {
        self.points += 1;
        let row = self.row(at);
        match (kml::point(text, between), self.lines.last_mut()) {
            (Some(fix), Some(line)) if self.points <= MOST_POINTS => {
                line.fixes.push(fix);
                // Of points in one text no line of the file is known, and they are counted.
                if between != ',' {
                    line.rows.push(row);
                }
            }
            (Some(_), _) if self.points == MOST_POINTS + 1 => {
                let text = format!("it has more than {MOST_POINTS} points");
                self.fault(
                    at,
                    text,
                    "keep the line that is driven in a file of its own",
                );
            }
            (Some(_), _) => {}
            (None, _) => {
                let text = format!("{} is no point", quoted(text));
                self.fault(
                    at,
                    text,
                    "longitude, latitude and height, as in `7.1234,45.1234,310`",
                );
            }
        }
    }
}
