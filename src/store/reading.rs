//! A node of a file's tree as serde reads it: what may stand where is told by the types, what a
//! number or letter means is left to `ron`, and every mistake names the node it is about.

use std::cell::RefCell;

use serde::de::{self, DeserializeOwned, DeserializeSeed, IntoDeserializer, Visitor};

use crate::base::text;
use crate::store::aside::Aside;
use crate::store::misread::{Misread, Mistake, expected_words};
use crate::store::tree::{Node, NodeEntry, NodeKind};

/// A node being read, or any value in place of a required field that is missing or could not be
/// read.
#[derive(Clone, Copy)]
pub(crate) struct NodeReader<'t> {
    pub node: Option<&'t Node>,
    pub aside: &'t RefCell<Aside>,
}

impl<'t> NodeReader<'t> {
    fn inner(self, node: &'t Node) -> Self {
        Self { node: Some(node), ..self }
    }

    fn kind(self) -> Option<&'t NodeKind> {
        self.node.map(|node| &node.kind)
    }

    /// Reads the node; a mistake that no inner node has claimed is about this one.
    pub(crate) fn read<'de, S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Misread> {
        seed.deserialize(self).map_err(|misread| self.claim(misread))
    }

    fn claim(self, misread: Misread) -> Misread {
        match self.node {
            Some(node) => misread.at(node),
            None => misread,
        }
    }

    /// The node in words.
    fn found(self) -> String {
        match self.kind() {
            None => "nothing".to_owned(),
            Some(NodeKind::Word(word)) => format!("the word `{word}`"),
            Some(NodeKind::Text(text)) => format!("the text {text:?}"),
            Some(NodeKind::Scalar(text)) => format!("`{}`", text::fit(text, 40).trim_end()),
            Some(NodeKind::Fields { .. }) => "a group of fields".to_owned(),
            Some(NodeKind::Items { .. }) => "values in round brackets".to_owned(),
            Some(NodeKind::List(_)) => "a list".to_owned(),
            Some(NodeKind::Map(_)) => "entries in braces".to_owned(),
        }
    }

    fn wrong_kind(self, expected: &str) -> Misread {
        let found = self.found();
        self.claim(Misread::new(Mistake::Kind { found, expected: expected_words(&expected) }))
    }

    /// A number is read by `ron`, as the type asked for, so that one out of its range is told as
    /// such.
    fn number<T: DeserializeOwned>(self, expected: &str) -> Result<T, Misread> {
        let text = match self.kind() {
            Some(NodeKind::Scalar(text)) => text,
            Some(NodeKind::Word(word)) if matches!(word.as_str(), "inf" | "NaN") => word,
            None => "1",
            _ => return Err(self.wrong_kind(expected)),
        };
        ron::from_str(text).map_err(|_| self.wrong_kind(expected))
    }

    fn items(self, items: &'t [Node]) -> ItemReader<'t> {
        ItemReader { at: self, items: items.iter() }
    }

    fn entries(self, entries: &'t [NodeEntry]) -> EntryReader<'t> {
        let start = self.node.map(|node| node.span.start);
        let stood_in = start.and_then(|start| self.aside.borrow().stood_in.get(&start).cloned());
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

    /// No type of a home leaves open what it is, so that a mistake can always say what belongs
    /// there.
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
        match self.node.map(Node::plain) {
            Some(Some("true")) => visitor.visit_bool(true),
            Some(Some("false")) | None => visitor.visit_bool(false),
            _ => Err(self.wrong_kind("a boolean")),
        }
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match self.kind() {
            Some(NodeKind::Text(text)) => visitor.visit_str(text),
            None => visitor.visit_str("x"),
            _ => Err(self.wrong_kind("a string")),
        }
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match self.kind() {
            None => visitor.visit_none(),
            Some(NodeKind::Word(word)) if word == "None" => visitor.visit_none(),
            Some(NodeKind::Items { name: Some(name), items })
                if name == "Some" && items.len() == 1 =>
            {
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
        match self.kind() {
            Some(NodeKind::Items { items, .. }) if items.len() == 1 => {
                visitor.visit_newtype_struct(self.inner(&items[0]))
            }
            _ => visitor.visit_newtype_struct(self),
        }
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match self.kind() {
            Some(NodeKind::List(items)) => visitor.visit_seq(self.items(items)),
            None => visitor.visit_seq(self.items(&[])),
            _ => Err(self.wrong_kind("a sequence")),
        }
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        _length: usize,
        visitor: V,
    ) -> Result<V::Value, Misread> {
        match self.kind() {
            Some(NodeKind::Items { items, .. }) => visitor.visit_seq(self.items(items)),
            _ => Err(self.wrong_kind("a tuple")),
        }
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match self.kind() {
            Some(NodeKind::Map(entries)) => visitor.visit_map(self.entries(entries)),
            None => visitor.visit_map(self.entries(&[])),
            _ => Err(self.wrong_kind("a map")),
        }
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        _fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misread> {
        let entries: &[NodeEntry] = match self.kind() {
            Some(NodeKind::Fields { entries, .. }) => entries,
            Some(NodeKind::Items { items, .. }) if items.is_empty() => &[],
            None => &[],
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
        let word = match self.kind() {
            Some(
                NodeKind::Word(word)
                | NodeKind::Items { name: Some(word), .. }
                | NodeKind::Fields { name: Some(word), .. },
            ) => word,
            None => variants.first().copied().unwrap_or_default(),
            kind => {
                let found = match kind {
                    Some(NodeKind::Text(text)) => format!("{text:?}"),
                    _ => self.found(),
                };
                return Err(Misread::new(Mistake::Word { of: name, found, known: variants }));
            }
        };
        let read = visitor.visit_enum(VariantReader { at: self, word });
        read.map_err(|misread: Misread| misread.of_type(name))
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match self.node.and_then(Node::plain) {
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
        let reader = NodeReader { node: self.value, ..self.at };
        reader.read(seed).map_err(|misread| match self.value {
            Some(_) => misread,
            None => self.at.claim(Misread { is_own: true, ..misread }),
        })
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
        match self.at.kind() {
            Some(NodeKind::Word(_)) | None => Ok(()),
            _ => Err(Misread::new(Mistake::Said(format!(
                "`{0}` has no brackets; write `{0}` alone",
                self.word
            )))),
        }
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Misread> {
        match self.at.kind() {
            Some(NodeKind::Items { items, .. }) if items.len() == 1 => {
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
