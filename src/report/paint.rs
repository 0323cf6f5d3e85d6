//! Emphasis on a terminal; plain text everywhere else.

/// Paints words, or leaves them alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Paint {
    on: bool,
}

impl Paint {
    /// Paints if `on`.
    pub fn new(on: bool) -> Self {
        Self { on }
    }

    /// No paint.
    pub fn plain() -> Self {
        Self { on: false }
    }

    /// A word that matters.
    pub fn strong(self, text: &str) -> String {
        self.wrap("1", text)
    }

    /// A word that matters less.
    pub fn faint(self, text: &str) -> String {
        self.wrap("2", text)
    }

    /// A fault.
    pub fn bad(self, text: &str) -> String {
        self.wrap("1;31", text)
    }

    /// Something to look at.
    pub fn warn(self, text: &str) -> String {
        self.wrap("1;33", text)
    }

    fn wrap(self, code: &str, text: &str) -> String {
        if self.on && !text.is_empty() {
            format!("\u{1b}[{code}m{text}\u{1b}[0m")
        } else {
            text.to_owned()
        }
    }
}
