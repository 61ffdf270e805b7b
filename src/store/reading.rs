//! From the tree of a file to a value, with every mistake found at once.
//!
//! The types of the nouns (their serde shapes) are the single truth about what may stand where. A
//! mistake stops serde; it is noted with the exact node it concerns, that node is set aside, and reading
//! starts again, until the rest reads well: so ten mistakes are ten findings after one look. A required
//! field that is set aside or missing is stood in for by any value, so that nothing behind it is hidden.
//! What a number or letter means is left to `ron`.

use std::cell::RefCell;
use std::marker::PhantomData;

use serde::de::{self, DeserializeOwned, DeserializeSeed, IntoDeserializer, Visitor};

use crate::base::text;
use crate::store::aside::Aside;
use crate::store::misread::{Misread, Mistake, expected_words};
use crate::store::stand_in::AnyValue;
use crate::store::tree::{Node, NodeEntry, NodeKind};

/// A value as far as it could be read, and every mistake.
pub(crate) struct Read<T> {
    /// The value; nothing when the mistakes leave none.
    pub value: Option<T>,
    /// The mistakes, in the order of the text.
    pub mistakes: Vec<Misread>,
    /// Only whole optional fields were set aside, so what the value means can still be judged.
    pub is_sound: bool,
}

/// Most mistakes told of one file; a file with more is not a file of this kind.
const MOST_MISTAKES: usize = 100;

/// Reads a value from a tree.
pub(crate) fn read<T: DeserializeOwned>(root: &Node) -> Read<T> {
    let mut attempts = Attempts::at(root);
    let mut value = None;
    let mut is_over = attempts.mistakes.len() >= MOST_MISTAKES;
    while !is_over {
        let reader = NodeReader { node: root, aside: &attempts.aside };
        match reader.read(PhantomData::<T>) {
            Ok(read) => {
                value = Some(read);
                break;
            }
            Err(misread) => is_over = !attempts.go_on_without(misread),
        }
    }
    let (mistakes, is_sound) = attempts.told();
    Read { value, mistakes, is_sound }
}

/// What the attempts at reading one tree have set aside so far, whatever type is read.
struct Attempts<'t> {
    root: &'t Node,
    aside: RefCell<Aside>,
    mistakes: Vec<Misread>,
}

impl<'t> Attempts<'t> {
    fn at(root: &'t Node) -> Self {
        let mut aside = Aside::default();
        let mut mistakes = Vec::new();
        aside.put_repeated(root, &mut mistakes);
        Self { root, aside: RefCell::new(aside), mistakes }
    }

    /// Notes a mistake and sets aside what it concerns; whether another attempt makes sense.
    fn go_on_without(&mut self, misread: Misread) -> bool {
        let start = misread.node.unwrap_or(self.root.span.start);
        let aside = self.aside.get_mut();
        if misread.is_own {
            return false;
        }
        let can_go_on = if let Mistake::Missing { field, .. } = misread.mistake {
            // A field with a misspelt name is told once, as that.
            let is_told = aside.masked_fields.iter().any(|(group, name)| {
                *group == start && (name == field || text::closest(name, &[field]).is_some())
            });
            let stood_in = aside.stood_in.entry(start).or_default();
            let is_stuck = stood_in.contains(&field);
            stood_in.push(field);
            aside.is_maimed = true;
            if !is_told {
                self.mistakes.push(misread);
            }
            !is_stuck
        } else {
            let can_go_on = start != self.root.span.start && aside.put(self.root, start);
            self.mistakes.push(misread);
            can_go_on
        };
        can_go_on && self.mistakes.len() < MOST_MISTAKES
    }

    /// The mistakes in the order of the text, and whether what was read can still be judged.
    fn told(mut self) -> (Vec<Misread>, bool) {
        self.mistakes.sort_by_key(|misread| misread.span.start);
        (self.mistakes, !self.aside.into_inner().is_maimed)
    }
}

/// A node being read.
#[derive(Clone, Copy)]
struct NodeReader<'t> {
    node: &'t Node,
    aside: &'t RefCell<Aside>,
}

impl<'t> NodeReader<'t> {
    fn inner(self, node: &'t Node) -> Self {
        Self { node, ..self }
    }

    /// Reads the node; a mistake that no inner node has claimed is about this one.
    fn read<'de, S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Misread> {
        seed.deserialize(self).map_err(|misread| misread.at(self.node))
    }

    /// The node in words.
    fn found(self) -> String {
        match &self.node.kind {
            NodeKind::Word(word) => format!("the word `{word}`"),
            NodeKind::Text(text) => format!("the text {text:?}"),
            NodeKind::Scalar(text) => format!("`{}`", text::fit(text, 40).trim_end()),
            NodeKind::Fields { .. } => "a group of fields".to_owned(),
            NodeKind::Items { .. } => "values in round brackets".to_owned(),
            NodeKind::List(_) => "a list".to_owned(),
            NodeKind::Map(_) => "entries in braces".to_owned(),
        }
    }

    fn wrong_kind(self, expected: &str) -> Misread {
        let found = self.found();
        Misread::new(Mistake::Kind { found, expected: expected_words(&expected) }).at(self.node)
    }

    /// A number is read by `ron`, as the type asked for, so that one out of its range is told as such.
    fn number<T: DeserializeOwned>(self, expected: &str) -> Result<T, Misread> {
        let is_number = match &self.node.kind {
            NodeKind::Scalar(_) => true,
            NodeKind::Word(word) => matches!(word.as_str(), "inf" | "NaN"),
            _ => false,
        };
        let text = self.node.plain().filter(|_| is_number);
        text.and_then(|text| ron::from_str(text).ok()).ok_or_else(|| self.wrong_kind(expected))
    }

    fn items(self, items: &'t [Node]) -> ItemReader<'t> {
        ItemReader { at: self, items: items.iter() }
    }

    fn entries(self, entries: &'t [NodeEntry]) -> EntryReader<'t> {
        let stood_in = self.aside.borrow().stood_in.get(&self.node.span.start).cloned();
        let stood_in = stood_in.unwrap_or_default();
        EntryReader { at: self, entries: entries.iter(), value: None, stood_in }
    }
}

macro_rules! numbers {
    ($($method:ident $visit:ident $type:ty;)+) => { $(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
            visitor.$visit(self.number::<$type>(stringify!($type))?)
        }
    )+ };
}

impl<'de> de::Deserializer<'de> for NodeReader<'_> {
    type Error = Misread;

    /// No type of a home leaves open what it is, so that a mistake can always say what belongs there.
    fn deserialize_any<V: Visitor<'de>>(self, _visitor: V) -> Result<V::Value, Misread> {
        Err(self.wrong_kind("another kind of value"))
    }

    numbers! {
        deserialize_i32 visit_i32 i32;
        deserialize_i64 visit_i64 i64;
        deserialize_u8 visit_u8 u8;
        deserialize_u16 visit_u16 u16;
        deserialize_u32 visit_u32 u32;
        deserialize_u64 visit_u64 u64;
        deserialize_f32 visit_f32 f32;
        deserialize_f64 visit_f64 f64;
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match self.node.plain() {
            Some("true") => visitor.visit_bool(true),
            Some("false") => visitor.visit_bool(false),
            _ => Err(self.wrong_kind("a boolean")),
        }
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match &self.node.kind {
            NodeKind::Text(text) => visitor.visit_str(text),
            _ => Err(self.wrong_kind("a string")),
        }
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match &self.node.kind {
            NodeKind::Word(word) if word == "None" => visitor.visit_none(),
            NodeKind::Items { name: Some(name), items } if name == "Some" && items.len() == 1 => {
                let inner = visitor.visit_some(self.inner(&items[0]));
                inner.map_err(|misread: Misread| misread.at(&items[0]))
            }
            _ => visitor.visit_some(self),
        }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Misread> {
        match &self.node.kind {
            NodeKind::Items { items, .. } if items.len() == 1 => {
                visitor.visit_newtype_struct(self.inner(&items[0]))
            }
            _ => visitor.visit_newtype_struct(self),
        }
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match &self.node.kind {
            NodeKind::List(items) => visitor.visit_seq(self.items(items)),
            _ => Err(self.wrong_kind("a sequence")),
        }
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        _length: usize,
        visitor: V,
    ) -> Result<V::Value, Misread> {
        match &self.node.kind {
            NodeKind::Items { items, .. } => visitor.visit_seq(self.items(items)),
            _ => Err(self.wrong_kind("a tuple")),
        }
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match &self.node.kind {
            NodeKind::Map(entries) => visitor.visit_map(self.entries(entries)),
            _ => Err(self.wrong_kind("a map")),
        }
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        _fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misread> {
        let entries: &[NodeEntry] = match &self.node.kind {
            NodeKind::Fields { entries, .. } => entries,
            NodeKind::Items { items, .. } if items.is_empty() => &[],
            _ => return Err(self.wrong_kind("struct")),
        };
        visitor.visit_map(self.entries(entries)).map_err(|misread: Misread| misread.of_type(name))
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misread> {
        let word = match &self.node.kind {
            NodeKind::Word(word)
            | NodeKind::Items { name: Some(word), .. }
            | NodeKind::Fields { name: Some(word), .. } => word,
            kind => {
                let found = match kind {
                    NodeKind::Text(text) => format!("{text:?}"),
                    _ => self.found(),
                };
                return Err(Misread::new(Mistake::Word { of: name, found, known: variants }));
            }
        };
        let read = visitor.visit_enum(VariantReader { at: self, word });
        read.map_err(|misread: Misread| misread.of_type(name))
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match self.node.plain() {
            Some(word) => visitor.visit_str(word),
            None => Err(self.wrong_kind("a name")),
        }
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        visitor.visit_unit()
    }

    serde::forward_to_deserialize_any! {
        i8 i16 i128 u128 char bytes byte_buf unit unit_struct tuple_struct
    }
}

/// The items of a list, those set aside left out.
struct ItemReader<'t> {
    at: NodeReader<'t>,
    items: std::slice::Iter<'t, Node>,
}

impl<'de> de::SeqAccess<'de> for ItemReader<'_> {
    type Error = Misread;

    fn next_element_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Misread> {
        let aside = self.at.aside;
        let next = self.items.find(|item| !aside.borrow().masked.contains(&item.span.start));
        next.map(|item| self.at.inner(item).read(seed)).transpose()
    }
}

/// The fields of a group or the entries of a map, those set aside left out; then the stand-ins.
struct EntryReader<'t> {
    at: NodeReader<'t>,
    entries: std::slice::Iter<'t, NodeEntry>,
    value: Option<&'t Node>,
    stood_in: Vec<&'static str>,
}

impl<'de> de::MapAccess<'de> for EntryReader<'_> {
    type Error = Misread;

    fn next_key_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Misread> {
        let aside = self.at.aside;
        let next =
            self.entries.find(|entry| !aside.borrow().masked.contains(&entry.key.span.start));
        self.value = next.map(|entry| &entry.value);
        match (next, next.is_none().then(|| self.stood_in.pop()).flatten()) {
            (Some(entry), _) => self.at.inner(&entry.key).read(seed).map(Some),
            (None, Some(field)) => seed.deserialize(field.into_deserializer()).map(Some),
            (None, None) => Ok(None),
        }
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, Misread> {
        match self.value {
            Some(node) => self.at.inner(node).read(seed),
            None => seed
                .deserialize(AnyValue)
                .map_err(|misread| Misread { is_own: true, ..misread }.at(self.at.node)),
        }
    }
}

/// A word of a vocabulary, perhaps with something in brackets.
struct VariantReader<'t> {
    at: NodeReader<'t>,
    word: &'t str,
}

impl<'de> de::EnumAccess<'de> for VariantReader<'_> {
    type Error = Misread;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), Misread> {
        let word = seed.deserialize(self.word.into_deserializer())?;
        Ok((word, self))
    }
}

impl<'de> de::VariantAccess<'de> for VariantReader<'_> {
    type Error = Misread;

    fn unit_variant(self) -> Result<(), Misread> {
        match &self.at.node.kind {
            NodeKind::Word(_) => Ok(()),
            _ => Err(Misread::new(Mistake::Said(format!(
                "`{0}` has no brackets; write `{0}` alone",
                self.word
            )))),
        }
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Misread> {
        match &self.at.node.kind {
            NodeKind::Items { items, .. } if items.len() == 1 => {
                self.at.inner(&items[0]).read(seed)
            }
            _ => Err(Misread::new(Mistake::Said(format!(
                "`{0}` needs a value in brackets; write `{0}(...)`",
                self.word
            )))),
        }
    }

    fn tuple_variant<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Misread> {
        de::Deserializer::deserialize_tuple(self.at, length, visitor)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misread> {
        de::Deserializer::deserialize_struct(self.at, "group", fields, visitor)
    }
}
