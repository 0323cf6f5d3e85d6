//! Files as accidents leave them: a valid one with a few things done to it, from a seed.

/// A small generator of even numbers (xorshift with a multiplier, after Vigna 2016, from memory):
/// which accidents happen must be the same everywhere.
pub struct Dice(u64);

impl Dice {
    /// Dice of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    /// A number below `sides`.
    pub fn below(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let high = self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33;
        high as usize % sides.max(1)
    }

    fn of<'a, T: ?Sized>(&mut self, all: &[&'a T]) -> &'a T {
        all[self.below(all.len())]
    }
}

/// Values that somebody, or some program, has written where a sane one belongs.
const VALUES: &[&str] = &[
    "0",
    "-1",
    "1e308",
    "1e-308",
    "-0.0",
    "nan",
    "NaN",
    "inf",
    "-inf",
    ".nan",
    ".inf",
    "1e999",
    "~",
    "",
    "null",
    "yes",
    "no",
    "[]",
    "{}",
    "[[]]",
    "{a: 1}",
    "\"\"",
    "'",
    "\"",
    "0 kg",
    "-5 m",
    "1e300 km/h",
    "12 parsecs",
    "1,080",
    "1.080,5",
    "1 000",
    "1'000",
    "½",
    "٣",
    "３",
    "−7",
    "+7",
    "0x1f",
    "1_000",
    "9/0",
    "0/9",
    "9/38/2",
    "1:60:61",
    "24:00",
    "2024-02-30",
    "../..",
    "/",
    "/dev/zero",
    ".",
    "track.yaml",
    "car.yaml",
    "*.csv",
    "**/*",
    "[",
    "\u{202e}x",
    "\u{1b}[2J",
    "\u{feff}",
    "é",
    "é",
    "👾",
    "aaaaaaaaaaaa",
    "185/60R13",
    "185/60R0",
    "999/999R99",
    "9e9 rpm",
    "101 %",
    "-1 %",
    "4294967296",
    "18446744073709551616",
    "*x",
    "&x 1",
    "!!int 3",
    "# no",
    "| ",
    "> ",
    "- 1",
    "? a",
    "key: value",
    "\t",
    "\\",
    "0.1.2",
    "1e",
    "e1",
];

/// Bytes that text is not made of, or that end it.
const BYTES: &[&[u8]] = &[
    b"\0",
    b"\xff",
    b"\xfe\xff",
    b"\xc3",
    b"\xed\xa0\x80",
    b"\xf4\x90\x80\x80",
    b"\xb0",
    b"\r",
    b"\n",
    b"\t",
    b"\x1a",
    b"\x0c",
    b"\xe2\x80\xa8",
    b"\"",
    b"'",
    b"<",
    b">",
    b"&",
    b"{",
    b"}",
    b"[",
    b"]",
    b",",
    b";",
    b":",
];

/// A file after one to four accidents.
pub fn accident(file: &[u8], other: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = file.to_vec();
    for _ in 0..=dice.below(4) {
        bytes = match dice.below(8) {
            0..=2 => of_words(&bytes, dice),
            3..=5 => of_lines(&bytes, other, dice),
            6 => of_bytes(bytes, dice),
            _ => spliced(&bytes, other, dice),
        };
    }
    match dice.below(12) {
        0 => written_as(&bytes, dice),
        _ => bytes,
    }
}

/// A value or a key is another one, is missing, or stands twice.
fn of_words(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    let marks = b",;:{}[]<>=\"\t\n ";
    let edges: Vec<usize> = (0..bytes.len())
        .filter(|&i| marks.contains(&bytes[i]))
        .collect();
    if edges.len() < 3 {
        return bytes.to_vec();
    }
    let mut word = || {
        let i = dice.below(edges.len() - 1);
        edges[i] + 1..edges[i + 1]
    };
    let (one, two) = (word(), word());
    let with = match dice.below(5) {
        0 => Vec::new(),
        1 => bytes[two].to_vec(),
        2 => [&bytes[one.clone()], b" ", &bytes[one.clone()]].concat(),
        _ => dice.of(VALUES).as_bytes().to_vec(),
    };
    [&bytes[..one.start], &with, &bytes[one.end..]].concat()
}

/// Lines are left out, repeated, swapped, moved in or out, cut, or come from another file.
fn of_lines(bytes: &[u8], other: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut lines: Vec<Vec<u8>> = bytes.split(|b| *b == b'\n').map(<[u8]>::to_vec).collect();
    let foreign: Vec<&[u8]> = other.split(|b| *b == b'\n').collect();
    let (i, j) = (dice.below(lines.len()), dice.below(lines.len()));
    match dice.below(8) {
        0 => drop(lines.remove(i)),
        1 => lines.insert(j, lines[i].clone()),
        2 => lines.swap(i, j),
        3 => lines.insert(i, foreign[dice.below(foreign.len())].to_vec()),
        4 => drop(lines[i].splice(..0, b"  ".iter().copied())),
        5 => lines[i] = lines[i].trim_ascii_start().to_vec(),
        6 => {
            let end = dice.below(lines[i].len() + 1);
            lines[i].truncate(end);
        }
        _ => lines.truncate(i),
    }
    lines.join(&b'\n')
}

/// Bytes are another, are missing, or come in between.
fn of_bytes(mut bytes: Vec<u8>, dice: &mut Dice) -> Vec<u8> {
    let at = dice.below(bytes.len() + 1);
    match dice.below(4) {
        0 if at < bytes.len() => bytes[at] ^= 1 << dice.below(8),
        1 => drop(bytes.drain(at..(at + 1 + dice.below(40)).min(bytes.len()).max(at))),
        2 => bytes.truncate(at),
        _ => drop(bytes.splice(at..at, dice.of(BYTES).iter().copied())),
    }
    bytes
}

/// The beginning of one file and the end of another.
fn spliced(bytes: &[u8], other: &[u8], dice: &mut Dice) -> Vec<u8> {
    let (to, from) = (dice.below(bytes.len() + 1), dice.below(other.len() + 1));
    [&bytes[..to], &other[from..]].concat()
}

/// The same text in the letters and line ends of another system.
pub fn written_as(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    let text = String::from_utf8_lossy(bytes);
    let wide = |order: fn(u16) -> [u8; 2]| text.encode_utf16().flat_map(order).collect::<Vec<u8>>();
    match dice.below(8) {
        0 => text.replace('\n', "\r\n").into_bytes(),
        1 => text.replace('\n', "\r").into_bytes(),
        2 => [b"\xef\xbb\xbf".as_slice(), bytes].concat(),
        3 => [b"\xff\xfe".to_vec(), wide(u16::to_le_bytes)].concat(),
        4 => [b"\xfe\xff".to_vec(), wide(u16::to_be_bytes)].concat(),
        5 => wide(u16::to_le_bytes),
        6 => text.replace('\n', "\r\n\r\n").into_bytes(),
        _ => text
            .chars()
            .map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?'))
            .collect(),
    }
}
