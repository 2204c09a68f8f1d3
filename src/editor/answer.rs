//! A request of the protocol -> its answer, out of the books.

use super::books::Books;
use super::lens::{self, Covered};
use super::places::{Encoding, Lines};
use super::uses::Use;
use super::{colours, complete, fixes, hover, outline, rename, signature};
use crate::syntax::{FileId, Remark, Severity, Span, format};
use lsp_types::{
    CodeAction, CodeActionKind, CodeActionOrCommand, CodeActionProviderCapability, CodeLensOptions, CompletionOptions, Diagnostic,
    DiagnosticRelatedInformation, DiagnosticSeverity, FoldingRangeProviderCapability, Hover, HoverContents, HoverProviderCapability,
    Location, MarkupContent, MarkupKind, NumberOrString, OneOf, PositionEncodingKind, Range, RenameOptions, SemanticTokens,
    SemanticTokensFullOptions, SemanticTokensLegend, SemanticTokensOptions, ServerCapabilities, SignatureHelpOptions, SymbolInformation,
    TextDocumentSyncCapability, TextDocumentSyncKind, TextEdit, Uri, WorkDoneProgressOptions, WorkspaceEdit,
};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::collections::HashMap;

/// What this server can do.
pub fn capabilities(encoding: Encoding) -> ServerCapabilities {
    let legend = SemanticTokensLegend { token_types: colours::LEGEND.0.to_vec(), token_modifiers: colours::LEGEND.1.to_vec() };
    ServerCapabilities {
        position_encoding: Some(if encoding == Encoding::Utf8 { PositionEncodingKind::UTF8 } else { PositionEncodingKind::UTF16 }),
        text_document_sync: Some(TextDocumentSyncCapability::Kind(TextDocumentSyncKind::INCREMENTAL)),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        completion_provider: Some(CompletionOptions {
            trigger_characters: Some(vec![" ".into(), ",".into()]),
            ..CompletionOptions::default()
        }),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        document_symbol_provider: Some(OneOf::Left(true)),
        workspace_symbol_provider: Some(OneOf::Left(true)),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        rename_provider: Some(OneOf::Right(RenameOptions {
            prepare_provider: Some(true),
            work_done_progress_options: WorkDoneProgressOptions::default(),
        })),
        signature_help_provider: Some(SignatureHelpOptions {
            trigger_characters: Some(vec![" ".into(), ",".into()]),
            ..SignatureHelpOptions::default()
        }),
        code_lens_provider: Some(CodeLensOptions { resolve_provider: Some(false) }),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        inlay_hint_provider: Some(OneOf::Left(true)),
        code_action_provider: Some(CodeActionProviderCapability::Simple(true)),
        semantic_tokens_provider: Some(
            SemanticTokensOptions { legend, full: Some(SemanticTokensFullOptions::Bool(true)), ..SemanticTokensOptions::default() }.into(),
        ),
        ..ServerCapabilities::default()
    }
}

/// Turns the name of a file into its address, and says how places are counted.
pub struct Ways<'w> {
    /// The address of a file of that name; none where it has none.
    pub address: &'w dyn Fn(&str) -> Option<Uri>,
    /// How places are counted.
    pub encoding: Encoding,
    /// The cases beside the rules: name and text.
    pub cases: &'w dyn Fn() -> Vec<(String, String)>,
    /// Which of them expect which cause.
    pub covered: &'w Covered,
}

/// The requests that [`answer`] answers, each about one file.
pub const ANSWERED: &[&str] = &[
    "textDocument/hover",
    "textDocument/completion",
    "textDocument/definition",
    "textDocument/references",
    "textDocument/documentSymbol",
    "textDocument/foldingRange",
    "textDocument/semanticTokens/full",
    "textDocument/inlayHint",
    "textDocument/formatting",
    "textDocument/rangeFormatting",
    "textDocument/codeAction",
    "textDocument/prepareRename",
    "textDocument/rename",
    "textDocument/signatureHelp",
    "textDocument/codeLens",
];

/// Answers a request about a file of the books, which have been put together; an error in words where it can't be.
pub fn answer(books: &Books, file: FileId, method: &str, params: Value, ways: &Ways) -> Result<Value, String> {
    let lines = Lines::new(&books.source(file).text, ways.encoding);
    let desk = Desk { books, file, lines: &lines, ways };
    match method {
        "textDocument/hover" => desk.hover(&at(&params)?),
        "textDocument/completion" => give(complete::at(books, &lines, at(&params)?)),
        "textDocument/definition" => desk.definition(&at(&params)?),
        "textDocument/references" => desk.references(&params),
        "textDocument/documentSymbol" => give(outline::symbols(books, file, &lines)),
        "textDocument/foldingRange" => give(outline::folds(books, file, &lines)),
        "textDocument/semanticTokens/full" => give(SemanticTokens { result_id: None, data: colours::tokens(books, file, &lines) }),
        "textDocument/inlayHint" => give(hover::hints(books, file, &lines, field(&params, "range")?)),
        "textDocument/formatting" => desk.format(lines.all()),
        "textDocument/rangeFormatting" => desk.format(field(&params, "range")?),
        "textDocument/codeAction" => desk.offers(field(&params, "range")?),
        "textDocument/prepareRename" => {
            let used = rename::can(books, file, lines.byte(at(&params)?))?;
            give(json!({ "range": lines.range(used.word.span), "placeholder": used.word.value }))
        }
        "textDocument/rename" => desk.rename(&params),
        "textDocument/signatureHelp" => give(signature::help(&lines, at(&params)?)),
        "textDocument/codeLens" => give(lens::of_causes(books, file, &lines, ways.covered)),
        other => Err(format!("`{other}` is nothing this server answers")),
    }
}

fn give(answer: impl serde::Serialize) -> Result<Value, String> {
    serde_json::to_value(answer).map_err(|e| e.to_string())
}

fn field<T: DeserializeOwned>(params: &Value, name: &str) -> Result<T, String> {
    serde_json::from_value(params.get(name).cloned().unwrap_or_default()).map_err(|e| format!("`{name}`: {e}"))
}

fn at(params: &Value) -> Result<lsp_types::Position, String> {
    field(params, "position")
}

/// A file that is asked about.
struct Desk<'a> {
    books: &'a Books,
    file: FileId,
    lines: &'a Lines<'a>,
    ways: &'a Ways<'a>,
}

impl Desk<'_> {
    fn hover(&self, place: &lsp_types::Position) -> Result<Value, String> {
        let found = hover::at(self.books, self.file, self.lines.byte(*place));
        give(found.map(|(value, span)| Hover {
            contents: HoverContents::Markup(MarkupContent { kind: MarkupKind::Markdown, value }),
            range: Some(self.lines.range(span)),
        }))
    }

    fn location(&self, span: Span) -> Option<Location> {
        location(self.books, span, self.ways)
    }

    fn used(&self, place: lsp_types::Position) -> Option<Use<'_>> {
        self.books.at(self.file, self.lines.byte(place))
    }

    fn definition(&self, place: &lsp_types::Position) -> Result<Value, String> {
        let Some(used) = self.used(*place) else { return Ok(Value::Null) };
        let first = || self.books.alike(&used).into_iter().find(|u| u.defines).map(|u| u.word.span);
        let span = match used.sort {
            super::uses::Sort::State(_) | super::uses::Sort::Chance(_) => first(),
            _ => self.books.definition(&used.key()).or_else(first),
        };
        give(span.and_then(|s| self.location(s)))
    }

    fn references(&self, params: &Value) -> Result<Value, String> {
        let Some(used) = self.used(at(params)?) else { return Ok(Value::Null) };
        let definitions = params.pointer("/context/includeDeclaration").and_then(Value::as_bool).unwrap_or(true);
        let all = self.books.alike(&used).into_iter().filter(|u| definitions || !u.defines);
        give(all.filter_map(|u| self.location(u.word.span)).collect::<Vec<_>>())
    }

    /// The edits that lay a file out, line by line, so that the rest of it stays where it is.
    fn format(&self, wanted: Range) -> Result<Value, String> {
        let text = &self.books.source(self.file).text;
        let laid = format(self.file, text).map_err(|_| "a line of this file can't be read; correct it first")?;
        let diff = similar::TextDiff::from_lines(&**text, laid.as_str());
        let (old, new): (Vec<&str>, Vec<&str>) = (diff.old_slices().to_vec(), diff.new_slices().to_vec());
        let mut edits = Vec::new();
        for op in diff.ops().iter().filter(|op| op.tag() != similar::DiffTag::Equal) {
            let (from, to) = (op.old_range(), op.new_range());
            let place =
                |line: usize| if line < old.len() { lsp_types::Position { line: line as u32, character: 0 } } else { self.lines.all().end };
            let range = Range { start: place(from.start), end: place(from.end) };
            if range.start.line <= wanted.end.line && range.end.line >= wanted.start.line {
                edits.push(TextEdit { range, new_text: new[to].concat() });
            }
        }
        give(edits)
    }

    fn offers(&self, wanted: Range) -> Result<Value, String> {
        let Some(address) = (self.ways.address)(&self.books.source(self.file).name) else { return Ok(json!([])) };
        let mut out = Vec::new();
        for offer in fixes::offers(self.books, self.file, self.lines, wanted) {
            // the protocol's own type of changes is a map by address
            #[allow(clippy::mutable_key_type)]
            let changes = HashMap::from([(address.clone(), offer.edits)]);
            let action = CodeAction {
                title: offer.title,
                kind: Some(CodeActionKind::QUICKFIX),
                diagnostics: Some(vec![diagnostic(self.books, &offer.remark, self.lines, self.ways)]),
                edit: Some(WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() }),
                is_preferred: Some(offer.sure),
                ..CodeAction::default()
            };
            out.push(CodeActionOrCommand::CodeAction(action));
        }
        give(out)
    }

    fn rename(&self, params: &Value) -> Result<Value, String> {
        let new: String = field(params, "newName")?;
        let byte = self.lines.byte(at(params)?);
        let edits = rename::edits(self.books, &(self.ways.cases)(), self.file, byte, &new, self.ways.encoding)?;
        #[allow(clippy::mutable_key_type)]
        let changes: HashMap<Uri, Vec<TextEdit>> =
            edits.into_iter().filter_map(|(name, edits)| Some(((self.ways.address)(&name)?, edits))).collect();
        give(WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() })
    }
}

fn location(books: &Books, span: Span, ways: &Ways) -> Option<Location> {
    let source = books.source(span.file);
    Some(Location { uri: (ways.address)(&source.name)?, range: Lines::new(&source.text, ways.encoding).range(span) })
}

/// The blocks of all files whose name or title has these words in it.
#[allow(deprecated)] // the protocol's type has a field that it tells everybody to leave empty
pub fn symbols_of(books: &Books, query: &str, ways: &Ways) -> Vec<SymbolInformation> {
    const MOST: usize = 300;
    let query = query.to_lowercase();
    let blocks = books.documents().flat_map(|d| &d.blocks);
    let fits = |b: &&crate::syntax::Block| {
        b.name.value.to_lowercase().contains(&query) || b.title.as_ref().is_some_and(|t| t.value.to_lowercase().contains(&query))
    };
    let symbol = |b: &crate::syntax::Block| {
        let location = location(books, b.name.span, ways)?;
        let container_name = b.title.as_ref().map(|t| t.value.clone());
        Some(SymbolInformation {
            name: b.name.value.clone(),
            kind: outline::shape(b.kind.value),
            tags: None,
            deprecated: None,
            location,
            container_name,
        })
    };
    blocks.filter(fits).filter_map(symbol).take(MOST).collect()
}

/// The remarks on a file.
pub fn diagnostics(books: &Books, file: FileId, ways: &Ways) -> Vec<Diagnostic> {
    let lines = Lines::new(&books.source(file).text, ways.encoding);
    let own = books.remarks().iter().filter(|r| r.span().is_some_and(|s| s.file == file));
    own.map(|r| diagnostic(books, r, &lines, ways)).collect()
}

fn diagnostic(books: &Books, remark: &Remark, lines: &Lines, ways: &Ways) -> Diagnostic {
    let label = remark.labels.first().map(|l| format!(" ({})", l.text)).unwrap_or_default();
    let help = remark.help.as_ref().map(|h| format!("\n{h}")).unwrap_or_default();
    let beside = remark
        .labels
        .iter()
        .skip(1)
        .filter_map(|l| Some(DiagnosticRelatedInformation { location: location(books, l.span, ways)?, message: l.text.clone() }));
    let beside: Vec<_> = beside.collect();
    Diagnostic {
        range: remark.span().map_or(Range::default(), |s| lines.range(s)),
        severity: Some(match remark.severity {
            Severity::Error => DiagnosticSeverity::ERROR,
            Severity::Warning => DiagnosticSeverity::WARNING,
            Severity::Note => DiagnosticSeverity::INFORMATION,
        }),
        code: Some(NumberOrString::String(format!("{} {}", remark.code.id, remark.code.name))),
        source: Some("faultbook".into()),
        message: format!("{}{label}{help}", remark.message),
        related_information: (!beside.is_empty()).then_some(beside),
        ..Diagnostic::default()
    }
}
