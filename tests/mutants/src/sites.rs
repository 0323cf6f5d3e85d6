//! Finds the places of a source file that could be changed, and what each could become.

use std::ops::Range;

use syn::spanned::Spanned;
use syn::visit::{self, Visit};
use syn::{BinOp, Expr, Lit, ReturnType, Stmt, UnOp};

/// What a mutant does to a stretch of text.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// The expression becomes other text: parts of it kept, parts new.
    Expression(Vec<Part>),
    /// The statement is left out.
    Omit,
    /// The function body begins by returning this.
    Return(String),
}

/// A piece of a changed expression.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// Text of the file, itself open to other mutants.
    Kept(Range<usize>),
    /// New text.
    New(String),
}

/// One possible mutant.
#[derive(Debug, Clone)]
pub struct Site {
    /// Bytes of the file that it replaces.
    pub span: Range<usize>,
    /// Line, counted from 1.
    pub line: usize,
    pub change: Change,
    /// What it does, for people.
    pub told: String,
}

/// Every mutant that a file could have. Tests, constants and assertions are left alone.
///
/// # Errors
/// Where the file does not parse.
pub fn sites(text: &str) -> syn::Result<Vec<Site>> {
    let mut finder = Finder {
        text,
        sites: Vec::new(),
    };
    finder.visit_file(&syn::parse_file(text)?);
    Ok(finder.sites)
}

/// Modules in files of their own that are only built for tests.
///
/// # Errors
/// Where the file does not parse.
pub fn modules_apart(text: &str) -> syn::Result<Vec<String>> {
    let items = syn::parse_file(text)?.items.into_iter();
    Ok(items
        .filter_map(|item| match item {
            syn::Item::Mod(m) if m.content.is_none() && is_apart(&m.attrs) => {
                Some(m.ident.to_string())
            }
            _ => None,
        })
        .collect())
}

struct Finder<'a> {
    text: &'a str,
    sites: Vec<Site>,
}

fn bytes(node: &impl Spanned) -> Range<usize> {
    node.span().byte_range()
}

fn kept(node: &impl Spanned) -> Part {
    Part::Kept(bytes(node))
}

fn new(text: &str) -> Part {
    Part::New(text.into())
}

/// What may stand in the place of an operator.
fn swapped(op: &BinOp) -> &'static [&'static str] {
    match op {
        BinOp::Add(_) => &["-"],
        BinOp::Sub(_) => &["+"],
        BinOp::Mul(_) => &["/"],
        BinOp::Div(_) => &["*"],
        BinOp::Rem(_) => &["/"],
        BinOp::And(_) => &["||"],
        BinOp::Or(_) => &["&&"],
        BinOp::Lt(_) => &["<=", ">="],
        BinOp::Le(_) => &["<", ">"],
        BinOp::Gt(_) => &[">=", "<="],
        BinOp::Ge(_) => &[">", "<"],
        BinOp::Eq(_) => &["!="],
        BinOp::Ne(_) => &["=="],
        BinOp::AddAssign(_) => &["-="],
        BinOp::SubAssign(_) => &["+="],
        BinOp::MulAssign(_) => &["/="],
        BinOp::DivAssign(_) => &["*="],
        BinOp::BitAnd(_) => &["|"],
        BinOp::BitOr(_) => &["&"],
        BinOp::BitAndAssign(_) => &["|="],
        BinOp::BitOrAssign(_) => &["&="],
        BinOp::Shl(_) => &[">>"],
        _ => &[],
    }
}

/// Methods with one that is easily taken for them.
const TWINS: [(&str, &str); 12] = [
    ("min", "max"),
    ("max", "min"),
    ("min_by", "max_by"),
    ("max_by", "min_by"),
    ("any", "all"),
    ("all", "any"),
    ("floor", "ceil"),
    ("ceil", "floor"),
    ("is_some", "is_none"),
    ("is_none", "is_some"),
    ("first", "last"),
    ("last", "first"),
];

impl Finder<'_> {
    fn add(&mut self, span: Range<usize>, change: Change, told: String) {
        let line = self.text[..span.start].matches('\n').count() + 1;
        self.sites.push(Site {
            span,
            line,
            change,
            told,
        });
    }

    fn shown(&self, node: &impl Spanned) -> String {
        let text = &self.text[bytes(node)];
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        match flat.char_indices().nth(60) {
            Some((end, _)) => format!("{}…", &flat[..end]),
            None => flat,
        }
    }

    fn binary(&mut self, expr: &syn::ExprBinary) {
        if has_let(&expr.left) || has_let(&expr.right) {
            return;
        }
        for op in swapped(&expr.op) {
            let parts = vec![kept(&expr.left), new(&format!(" {op} ")), kept(&expr.right)];
            let told = format!("`{}` with `{op}`", self.shown(expr));
            self.add(bytes(expr), Change::Expression(parts), told);
        }
    }

    fn method(&mut self, call: &syn::ExprMethodCall) {
        let name = call.method.to_string();
        if name == "abs" && call.args.is_empty() {
            let told = format!("`{}` without `abs`", self.shown(call));
            let parts = vec![kept(&call.receiver)];
            self.add(bytes(call), Change::Expression(parts), told);
        }
        let Some((_, twin)) = TWINS.iter().find(|(of, _)| *of == name) else {
            return;
        };
        if (name == "min" || name == "max") && call.args.len() != 1 {
            return;
        }
        let rest = bytes(&call.method).end..bytes(call).end;
        let start = bytes(call).start..bytes(&call.method).start;
        let parts = vec![Part::Kept(start), new(twin), Part::Kept(rest)];
        let told = format!("`{}` with `{twin}`", self.shown(call));
        self.add(bytes(call), Change::Expression(parts), told);
    }

    fn literal(&mut self, expr: &syn::ExprLit) {
        let (value, suffix): (Vec<String>, &str) = match &expr.lit {
            Lit::Float(lit) => {
                let Ok(value) = lit.base10_parse::<f64>() else {
                    return;
                };
                let other = match value {
                    0.0 => 1.0,
                    1.0 => 0.0,
                    value => value * 1.1,
                };
                (vec![format!("{other:?}")], lit.suffix())
            }
            Lit::Int(lit) => {
                let Ok(value) = lit.base10_parse::<u64>() else {
                    return;
                };
                (vec![(value + 1).to_string()], lit.suffix())
            }
            Lit::Bool(lit) => (vec![(!lit.value).to_string()], ""),
            _ => return,
        };
        for other in value {
            let told = format!("`{}` as `{other}`", self.shown(expr));
            let text = format!("{other}{suffix}");
            self.add(bytes(expr), Change::Expression(vec![new(&text)]), told);
        }
    }

    fn condition(&mut self, cond: &Expr) {
        let own = matches!(cond, Expr::Binary(_) | Expr::Unary(_) | Expr::Lit(_));
        if own || has_let(cond) {
            return;
        }
        let parts = vec![new("!("), kept(cond), new(")")];
        let told = format!("`{}` negated", self.shown(cond));
        self.add(bytes(cond), Change::Expression(parts), told);
    }

    fn body(&mut self, sig: &syn::Signature, block: &syn::Block) {
        if block.stmts.is_empty() {
            return;
        }
        let returned = match &sig.output {
            ReturnType::Default => "()".to_string(),
            ReturnType::Type(_, kind) => self.text[bytes(kind)].replace(char::is_whitespace, ""),
        };
        let values: &[&str] = match returned.as_str() {
            "()" => &["()"],
            "f64" => &["0.0", "1.0"],
            "bool" => &["true", "false"],
            "usize" | "u32" | "u16" => &["0", "1"],
            of if of.starts_with("Option<") => &["None"],
            of if of.starts_with("Vec<") => &["Vec::new()"],
            of if of.starts_with("Result<(),") => &["Ok(())"],
            _ => &[],
        };
        let after = bytes(&block.brace_token.span.open()).end;
        for value in values {
            let told = format!("`{}` returns `{value}`", sig.ident);
            self.add(after..after, Change::Return((*value).into()), told);
        }
    }
}

fn has_let(expr: &Expr) -> bool {
    match expr {
        Expr::Let(_) => true,
        Expr::Binary(both) => has_let(&both.left) || has_let(&both.right),
        _ => false,
    }
}

/// Whether an item is only built for tests, or is no code of a running program.
fn is_apart(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|a| {
        a.path().is_ident("test")
            || (a.path().is_ident("cfg") && a.parse_args::<syn::Ident>().is_ok_and(|i| i == "test"))
    })
}

impl<'ast> Visit<'ast> for Finder<'_> {
    fn visit_item(&mut self, item: &'ast syn::Item) {
        match item {
            syn::Item::Mod(m) if is_apart(&m.attrs) => {}
            syn::Item::Fn(f) if is_apart(&f.attrs) || f.sig.constness.is_some() => {}
            syn::Item::Const(_) | syn::Item::Static(_) | syn::Item::Enum(_) => {}
            syn::Item::Macro(_) | syn::Item::Type(_) | syn::Item::Struct(_) => {}
            item => visit::visit_item(self, item),
        }
    }

    fn visit_item_fn(&mut self, f: &'ast syn::ItemFn) {
        self.body(&f.sig, &f.block);
        self.visit_block(&f.block);
    }

    fn visit_impl_item(&mut self, item: &'ast syn::ImplItem) {
        if let syn::ImplItem::Fn(f) = item
            && f.sig.constness.is_none()
            && !is_apart(&f.attrs)
        {
            self.body(&f.sig, &f.block);
            self.visit_block(&f.block);
        }
    }

    fn visit_trait_item(&mut self, item: &'ast syn::TraitItem) {
        if let syn::TraitItem::Fn(f) = item
            && let Some(block) = &f.default
        {
            self.body(&f.sig, block);
            self.visit_block(block);
        }
    }

    fn visit_stmt(&mut self, stmt: &'ast Stmt) {
        if let Stmt::Expr(expr, Some(_)) = stmt {
            let omitted = match expr {
                Expr::Assign(_) | Expr::MethodCall(_) | Expr::Call(_) => true,
                Expr::Binary(both) => !swapped(&both.op).is_empty(),
                _ => false,
            };
            if omitted {
                let told = format!("`{}` left out", self.shown(stmt));
                self.add(bytes(stmt), Change::Omit, told);
            }
        }
        visit::visit_stmt(self, stmt);
    }

    fn visit_expr(&mut self, expr: &'ast Expr) {
        match expr {
            Expr::Binary(both) => self.binary(both),
            Expr::MethodCall(call) => self.method(call),
            Expr::Lit(lit) => self.literal(lit),
            Expr::If(choice) => self.condition(&choice.cond),
            Expr::While(again) => self.condition(&again.cond),
            Expr::Unary(one) if matches!(one.op, UnOp::Not(_) | UnOp::Neg(_)) => {
                let told = format!("`{}` without its sign", self.shown(one));
                let parts = vec![kept(&one.expr)];
                self.add(bytes(one), Change::Expression(parts), told);
            }
            // The length is a constant, the rest is not.
            Expr::Repeat(repeat) => return self.visit_expr(&repeat.expr),
            Expr::Const(_) => return,
            _ => {}
        }
        visit::visit_expr(self, expr);
    }

    fn visit_arm(&mut self, arm: &'ast syn::Arm) {
        if let Some((_, guard)) = &arm.guard {
            self.condition(guard);
            self.visit_expr(guard);
        }
        self.visit_expr(&arm.body);
    }

    fn visit_pat(&mut self, _: &'ast syn::Pat) {}
    fn visit_type(&mut self, _: &'ast syn::Type) {}
    fn visit_attribute(&mut self, _: &'ast syn::Attribute) {}
    fn visit_generic_argument(&mut self, _: &'ast syn::GenericArgument) {}
}
