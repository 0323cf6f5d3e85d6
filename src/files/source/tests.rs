use super::*;
use std::fs;

/// A file of its own for each test, removed afterwards.
struct File(PathBuf);

impl File {
    fn new(name: &str, bytes: &[u8]) -> Self {
        let folder =
            std::env::temp_dir().join(format!("pullrank-source-{name}-{}", std::process::id()));
        fs::create_dir_all(&folder).unwrap();
        let path = folder.join("car.yaml");
        fs::write(&path, bytes).unwrap();
        Self(path)
    }

    fn read(&self) -> Result<String, String> {
        read(&self.0)
    }
}

impl Drop for File {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(self.0.parent().unwrap());
    }
}

fn read(path: &Path) -> Result<String, String> {
    let mut findings = Findings::new();
    match Source::read(path, YAML_LIMIT, &mut findings) {
        Some(source) => Ok(source.text),
        None => {
            assert_eq!(findings.len(), 1);
            let said = findings.iter().next().unwrap().to_string();
            let folder = path.parent().unwrap().display().to_string();
            Err(said.replace(&format!("{folder}/"), ""))
        }
    }
}

#[test]
fn byte_order_marks_and_line_ends_do_not_matter() {
    let text = "a: °\nb: 2\n";
    let utf16 = |swap: bool| -> Vec<u8> {
        let units = std::iter::once(0xfeff).chain(text.encode_utf16());
        units
            .flat_map(|u: u16| {
                if swap {
                    u.to_be_bytes()
                } else {
                    u.to_le_bytes()
                }
            })
            .collect()
    };
    assert_eq!(File::new("plain", text.as_bytes()).read().unwrap(), text);
    assert_eq!(
        File::new("bom", format!("\u{feff}{text}").as_bytes())
            .read()
            .unwrap(),
        text
    );
    assert_eq!(File::new("le", &utf16(false)).read().unwrap(), text);
    assert_eq!(File::new("be", &utf16(true)).read().unwrap(), text);
    for (name, swap) in [("le-unmarked", false), ("be-unmarked", true)] {
        assert_eq!(File::new(name, &utf16(swap)[2..]).read().unwrap(), text);
    }
    let mixed = File::new("mixed", "a\rb\r\nc\nd\r".as_bytes());
    assert_eq!(mixed.read().unwrap(), "a\nb\nc\nd\n");
    assert_eq!(
        File::new("cr", text.replace('\n', "\r").as_bytes())
            .read()
            .unwrap(),
        text
    );
}

#[test]
fn what_is_no_text_is_refused_with_its_place() {
    let latin = File::new("latin", b"name: x\ntemperature: 18 \xb0C\nmass: 9 kg\n");
    insta::assert_snapshot!(latin.read().unwrap_err(), @r"
    car.yaml:2:17: error: the byte 0xb0 here is not UTF-8 text
        temperature: 18 �C
                        ^
      save the file as UTF-8 (older editors and loggers write `°` and `ü` otherwise)
    ");
    let binary = File::new("binary", b"name: x\n\0\0\0\n");
    insta::assert_snapshot!(binary.read().unwrap_err(), @r"
    car.yaml:2: error: there are zero bytes in this file: it is not text
      save the file as text in UTF-8
    ");
    let half = File::new("half", b"\xff\xfea\0b");
    insta::assert_snapshot!(half.read().unwrap_err(), @r"
    car.yaml: error: this file begins as UTF-16 text and ends in half a character
      save the file as UTF-8
    ");
    let lone = File::new("lone", b"\xff\xfe\x00\xd8a\0");
    insta::assert_snapshot!(lone.read().unwrap_err(), @r"
    car.yaml: error: this file begins as UTF-16 text but is not all UTF-16
      save the file as UTF-8
    ");
}

#[test]
fn a_large_file_is_refused_unread() {
    let file = File::new("large", b"");
    // Sparse: 200 MB by its length, nothing on the disk.
    fs::OpenOptions::new()
        .write(true)
        .open(&file.0)
        .unwrap()
        .set_len(200 << 20)
        .unwrap();
    insta::assert_snapshot!(file.read().unwrap_err(), @r"car.yaml: error: this file has 200 MB; at most 4 MB are read");
    let mut findings = Findings::new();
    assert!(Source::read(&file.0, TABLE_LIMIT, &mut findings).is_none());
}

#[test]
fn a_missing_file_names_its_neighbour() {
    let file = File::new("missing", b"x");
    let other = file.0.with_file_name("cra.yaml");
    insta::assert_snapshot!(read(&other).unwrap_err(), @r"
    cra.yaml: error: there is no such file
      did you mean `car.yaml`?
    ");
    insta::assert_snapshot!(read(&file.0.with_file_name("zzzzzz")).unwrap_err(), @r"zzzzzz: error: there is no such file");
    insta::assert_snapshot!(read(&file.0.join("inside")).unwrap_err(), @r"inside: error: this file cannot be read: Not a directory (os error 20)");
}

#[cfg(unix)]
#[test]
fn only_ordinary_files_are_opened() {
    let file = File::new("kinds", b"x");
    let folder = file.0.with_file_name("folder");
    fs::create_dir(&folder).unwrap();
    insta::assert_snapshot!(read(&folder).unwrap_err(), @r"folder: error: this is a folder, and a file is wanted");
    let pipe = file.0.with_file_name("pipe");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    assert!(made.unwrap().success());
    // Opening a pipe that nobody writes to would wait for ever.
    insta::assert_snapshot!(read(&pipe).unwrap_err(), @r"pipe: error: this is no ordinary file (a pipe, a socket or a device) and is not read");
    insta::assert_snapshot!(read(Path::new("/dev/zero")).unwrap_err(), @r"zero: error: this is no ordinary file (a pipe, a socket or a device) and is not read");
}

#[test]
fn lines_are_found_without_an_index_of_each() {
    let text: String = (1..=1000).map(|n| format!("line {n}\r\n")).collect();
    let source = Source::new("x", text);
    for n in [1, 2, 255, 256, 257, 512, 513, 999, 1000] {
        assert_eq!(source.line(n), format!("line {n}"));
    }
    for n in [0, 1001, 1002, 5000, u32::MAX] {
        assert_eq!(source.line(n), "");
    }
}
