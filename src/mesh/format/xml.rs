//! XML as 3MF and AMF use it: elements and their text, one after another. Entities other than the five of XML and document
//! type definitions are refused, so nothing expands and nothing is fetched.

use std::borrow::Cow;
use std::collections::BTreeSet;

use quick_xml::Error;
use quick_xml::XmlVersion;
use quick_xml::errors::IllFormedError;
use quick_xml::escape::resolve_predefined_entity;
use quick_xml::events::attributes::Attribute;
use quick_xml::events::{BytesRef, BytesStart, Event};
use quick_xml::name::ResolveResult;
use quick_xml::reader::NsReader;

use crate::mesh::{MeshError, plain_text};

/// Most foreign namespaces that are remembered by name.
const MOST_FOREIGN: usize = 8;
/// Most characters of a stranger's words in one place.
const SHOWN_CHARS: usize = 80;

/// The text of an XML file: UTF-8, or UTF-16 by its byte order mark. Bytes that are neither become U+FFFD, which only spoils
/// the words they stand in.
pub(super) fn text(bytes: Vec<u8>) -> String {
    let utf_16 = |of: fn([u8; 2]) -> u16| {
        let units = bytes[2..].chunks_exact(2).map(|b| of([b[0], b[1]]));
        char::decode_utf16(units)
            .map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER))
            .collect()
    };
    if bytes.starts_with(b"\xff\xfe") {
        return utf_16(u16::from_le_bytes);
    }
    if bytes.starts_with(b"\xfe\xff") {
        return utf_16(u16::from_be_bytes);
    }
    String::from_utf8(bytes)
        .unwrap_or_else(|not_utf_8| String::from_utf8_lossy(not_utf_8.as_bytes()).into_owned())
}

/// A finite number written with '.', as XML Schema's `double` has it.
pub(super) fn number(word: &str) -> Option<f64> {
    word.trim().parse::<f64>().ok().filter(|n| n.is_finite())
}

/// A stranger's words as they may be shown.
pub(super) fn shown(words: &str) -> String {
    let mut short: String = words.trim().chars().take(SHOWN_CHARS).collect();
    if words.trim().chars().nth(SHOWN_CHARS).is_some() {
        short.push('…');
    }
    plain_text(&short)
}

/// What the reader comes to next.
pub(super) enum Node<'a> {
    /// An element begins.
    Open(Element<'a>),
    /// The innermost open element ends.
    Close,
    /// Characters, with entities put in.
    Text(Cow<'a, str>),
}

/// The beginning of an element.
pub(super) struct Element<'a> {
    start: BytesStart<'a>,
    /// Whether it is of the root's own namespace.
    pub(super) own: bool,
}

impl Element<'_> {
    /// Its name without a prefix; empty where it is of another namespace, so that no word of the format matches it.
    pub(super) fn name(&self) -> &str {
        if self.own {
            self.start.local_name().into_inner()
        } else {
            ""
        }
    }

    /// Its attributes without a prefix.
    pub(super) fn attributes(&self) -> impl Iterator<Item = (&str, Cow<'_, str>)> {
        self.all_attributes()
            .filter(|a| a.key.prefix().is_none() && a.key.as_namespace_binding().is_none())
            .map(|a| (a.key.0, value(&a)))
    }

    /// The attribute of that name, without a prefix.
    pub(super) fn attribute(&self, name: &str) -> Option<Cow<'_, str>> {
        self.all_attributes()
            .find(|a| a.key.0 == name)
            .map(|a| value(&a))
    }

    /// Duplicates are not looked for: that takes the square of their number, and the first one is as good.
    fn all_attributes(&self) -> impl Iterator<Item = Attribute<'_>> {
        let mut attributes = self.start.attributes();
        attributes.with_checks(false);
        attributes.map_while(Result::ok)
    }
}

/// The value with its entities put in; as written where they are not of the five.
fn value<'a>(attribute: &Attribute<'a>) -> Cow<'a, str> {
    attribute
        .normalized_value(XmlVersion::Implicit1_0)
        .unwrap_or_else(|_| attribute.value.clone())
}

/// Reads the elements of an XML text.
pub(super) struct Xml<'a> {
    format: &'static str,
    /// The file inside the archive; empty where there is none.
    file: &'a str,
    text: &'a str,
    reader: NsReader<&'a [u8]>,
    own_namespace: Option<String>,
    foreign: BTreeSet<String>,
    depth: usize,
    /// Where the node read last begins.
    at: usize,
    counted: usize,
    line: usize,
}

impl<'a> Xml<'a> {
    /// Starts at the beginning of `text`, which is the file `file` of an archive or the file given (then `file` is empty).
    pub(super) fn new(format: &'static str, file: &'a str, text: &'a str) -> Self {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut reader = NsReader::from_str(text);
        reader.config_mut().expand_empty_elements = true;
        Xml {
            format,
            file,
            text,
            reader,
            own_namespace: None,
            foreign: BTreeSet::new(),
            depth: 0,
            at: 0,
            counted: 0,
            line: 1,
        }
    }

    /// The root element. Its namespace becomes the reader's own.
    pub(super) fn root(&mut self) -> Result<Element<'a>, MeshError> {
        loop {
            match self.next()? {
                Node::Open(root) => return Ok(root),
                Node::Text(text) if text.trim().is_empty() => {}
                _ => return Err(self.wrong("text stands where the XML should begin")),
            }
        }
    }

    /// The next node. Inside the root there always is one: an early end is an error.
    pub(super) fn next(&mut self) -> Result<Node<'a>, MeshError> {
        loop {
            self.at = self.reader.buffer_position() as usize;
            let event = match self.reader.read_event() {
                Ok(event) => event,
                Err(broken) => return Err(self.broken(&broken)),
            };
            match event {
                Event::Start(start) => {
                    self.depth += 1;
                    return Ok(Node::Open(self.element(start)));
                }
                Event::End(_) => {
                    self.depth = self.depth.saturating_sub(1);
                    return Ok(Node::Close);
                }
                Event::Text(text) => return Ok(Node::Text(text.into_inner())),
                Event::CData(text) => return Ok(Node::Text(text.into_inner())),
                Event::GeneralRef(entity) => return self.entity(&entity).map(Node::Text),
                Event::DocType(_) => {
                    return Err(self.wrong("a document type definition stands where none may be"));
                }
                Event::Eof if self.depth > 0 => {
                    return Err(self.wrong("the XML ends before its elements do; it was cut short"));
                }
                Event::Eof => return Err(self.wrong("there is no XML element in it")),
                Event::Empty(_) | Event::Comment(_) | Event::Decl(_) | Event::PI(_) => {}
            }
        }
    }

    /// The next element inside the one that is open, if there is one; text between is passed over.
    pub(super) fn child(&mut self) -> Result<Option<Element<'a>>, MeshError> {
        loop {
            match self.next()? {
                Node::Open(element) => return Ok(Some(element)),
                Node::Close => return Ok(None),
                Node::Text(_) => {}
            }
        }
    }

    /// Passes over the rest of the element that was opened last.
    pub(super) fn skip(&mut self) -> Result<(), MeshError> {
        let outside = self.depth.saturating_sub(1);
        while self.depth > outside {
            self.next()?;
        }
        Ok(())
    }

    /// The text of the element that was opened last, without that of elements inside it.
    pub(super) fn content(&mut self) -> Result<Cow<'a, str>, MeshError> {
        let mut content = Cow::Borrowed("");
        loop {
            match self.next()? {
                Node::Text(text) if content.is_empty() => content = text,
                Node::Text(text) => content.to_mut().push_str(&text),
                Node::Open(_) => self.skip()?,
                Node::Close => return Ok(content),
            }
        }
    }

    /// The value of an attribute in another namespace. Attributes of yet others are remembered as foreign.
    pub(super) fn foreign_attribute(
        &mut self,
        element: &Element<'a>,
        namespace: &str,
        name: &str,
    ) -> Option<String> {
        let mut found = None;
        for attribute in element.all_attributes() {
            let prefix = attribute.key.prefix().map(|p| p.into_inner());
            if matches!(prefix, None | Some("xml" | "xmlns")) {
                continue;
            }
            let (bound, local) = self.reader.resolver().resolve_attribute(attribute.key);
            let ResolveResult::Bound(bound) = bound else {
                continue;
            };
            if bound.0 != namespace {
                remember(&mut self.foreign, bound.0);
            } else if local.into_inner() == name {
                found = Some(value(&attribute).into_owned());
            }
        }
        found
    }

    /// The namespace that a prefix stands for here.
    pub(super) fn namespace_of(&self, prefix: &str) -> Option<String> {
        let name = format!("{prefix}:x");
        let name = quick_xml::name::QName(&name);
        match self.reader.resolver().resolve_attribute(name).0 {
            ResolveResult::Bound(namespace) => Some(namespace.0.to_owned()),
            _ => None,
        }
    }

    /// Namespaces, other than the root's, of elements and attributes that were passed over.
    pub(super) fn into_foreign(self) -> BTreeSet<String> {
        self.foreign
    }

    /// The line of the node read last, from 1.
    pub(super) fn line(&mut self) -> usize {
        let passed = self.text.as_bytes().get(self.counted..self.at);
        self.line += passed.map_or(0, |p| p.iter().filter(|b| **b == b'\n').count());
        self.counted = self.counted.max(self.at);
        self.line
    }

    /// The error for what stands at the node read last.
    pub(super) fn wrong(&mut self, problem: impl Into<String>) -> MeshError {
        let line = self.line();
        malformed(self.format, self.file, line, problem)
    }

    fn element(&mut self, start: BytesStart<'a>) -> Element<'a> {
        let (namespace, _) = self.reader.resolver().resolve_element(start.name());
        let namespace = match &namespace {
            ResolveResult::Bound(namespace) => namespace.0,
            ResolveResult::Unbound => "",
            ResolveResult::Unknown(prefix) => prefix,
        };
        let own = match &self.own_namespace {
            Some(own) => own == namespace,
            None => {
                self.own_namespace = Some(namespace.to_owned());
                true
            }
        };
        if !own {
            remember(&mut self.foreign, namespace);
        }
        Element { start, own }
    }

    fn entity(&mut self, entity: &BytesRef<'a>) -> Result<Cow<'a, str>, MeshError> {
        if let Ok(Some(c)) = entity.resolve_char_ref() {
            return Ok(Cow::Owned(c.to_string()));
        }
        match resolve_predefined_entity(entity) {
            Some(known) => Ok(Cow::Borrowed(known)),
            None => Err(self.wrong(format!(
                "the entity \"{}\" is not one of XML's five",
                shown(entity)
            ))),
        }
    }

    fn broken(&mut self, error: &Error) -> MeshError {
        self.at = (self.reader.error_position() as usize).max(self.counted);
        match error {
            Error::Syntax(_) | Error::IllFormed(IllFormedError::UnclosedReference) => {
                self.wrong("what begins here in the XML never ends; the file was cut short")
            }
            Error::IllFormed(IllFormedError::MismatchedEndTag { expected, found }) => {
                self.wrong(format!(
                    "</{}> stands where </{}> should",
                    shown(found),
                    shown(expected)
                ))
            }
            Error::IllFormed(IllFormedError::UnmatchedEndTag(found)) => {
                self.wrong(format!("</{}> closes nothing", shown(found)))
            }
            _ => self.wrong("this is not well-formed XML"),
        }
    }
}

/// The error for what stands on a line of an XML file.
pub(super) fn malformed(
    format: &'static str,
    file: &str,
    line: usize,
    problem: impl Into<String>,
) -> MeshError {
    let place = if file.is_empty() {
        format!("line {line}")
    } else {
        format!("{}, line {line}", shown(file))
    };
    MeshError::Malformed {
        format,
        place,
        problem: problem.into(),
    }
}

fn remember(foreign: &mut BTreeSet<String>, namespace: &str) {
    if foreign.len() < MOST_FOREIGN && !foreign.contains(namespace) {
        foreign.insert(namespace.to_owned());
    }
}
