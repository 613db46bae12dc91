//! What is wrong with a text that is no XML, in our words: what was found, and what is allowed in its place.

use roxmltree::Error;

/// What was found, and what may stand there.
pub(super) fn xml_trouble(error: &Error) -> (String, String) {
    let said = |found: &str, allowed: &str| (found.to_owned(), allowed.to_owned());
    let sign = |byte: &u8| format!("“{}”", char::from(*byte));
    match error {
        Error::UnexpectedCloseTag(open, close, _) => {
            (format!("the end tag </{close}>"), format!("</{open}>, which is still open"))
        }
        Error::UnexpectedEndOfStream | Error::UnclosedRootNode => {
            said("the end of the file inside an element", "a whole file: copy or download it again")
        }
        Error::NoRootNode => said("no element", "one element around all others"),
        Error::DtdDetected => said("a document type", "XML without a document type"),
        Error::UnknownEntityReference(name, _) => (format!("&{name};"), "&amp; &lt; &gt; &quot; &apos; or a number".to_owned()),
        Error::MalformedEntityReference(_) => said("an & that begins no reference", "&amp;"),
        Error::DuplicatedAttribute(name, _) => (format!("the attribute {name} twice in one tag"), "once".to_owned()),
        Error::DuplicatedNamespace(name, _) => (format!("the prefix {name} declared twice in one tag"), "once".to_owned()),
        Error::UnknownNamespace(name, _) => {
            (format!("the prefix {name}:, which nothing declares"), "a prefix that xmlns declares".to_owned())
        }
        Error::NonXmlChar(sign, _) => (format!("{sign:?}"), "a sign that XML may hold".to_owned()),
        Error::InvalidAttributeValue(_) => said("a < inside an attribute", "&lt;"),
        Error::InvalidChar(allowed, found, _) => (sign(found), sign(allowed)),
        Error::InvalidChar2(allowed, found, _) => (sign(found), (*allowed).to_owned()),
        Error::InvalidString("-->", _) => said("a comment that does not end", "-->, which ends a comment"),
        Error::InvalidString("?>", _) => said("a <? that does not end", "?>, which ends it"),
        Error::InvalidString("]]>", _) => said("a <![CDATA[ that does not end", "]]>, which ends it"),
        Error::InvalidString(allowed, _) => (format!("no {allowed} where one belongs"), (*allowed).to_owned()),
        Error::InvalidName(_) => said("a tag or an attribute without a name", "a name that begins with a letter"),
        Error::InvalidComment(_) => said("-- inside a comment", "a comment without it"),
        Error::InvalidCharacterData(_) => said("]]> in a text", "]]&gt;"),
        Error::UnexpectedDeclaration(_) => said("an XML declaration", "one at the very beginning"),
        Error::NodesLimitReached | Error::AttributesLimitReached | Error::NamespacesLimitReached => {
            said("more elements than are read", "at most 4 million")
        }
        _ => said("what is no XML", "well-formed XML"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use roxmltree::{Document, ParsingOptions};

    #[test]
    fn each_trouble_says_what_was_found_and_what_belongs_there() {
        for (text, found, allowed) in [
            ("<gpx><wpt></name></gpx>", "the end tag </name>", "</wpt>, which is still open"),
            ("<gpx><wpt>", "the end of the file", "a whole file"),
            ("<!DOCTYPE x><gpx/>", "a document type", "without a document type"),
            ("<gpx>&nbsp;</gpx>", "&nbsp;", "&amp;"),
            ("<gpx>a & b</gpx>", "an & that begins no reference", "&amp;"),
            ("<gpx a='1' a='2'/>", "the attribute a twice", "once"),
            ("<gpx><x:y/></gpx>", "the prefix x:", "xmlns"),
            ("<gpx a='<'/>", "“<”", "“'”"),
            ("<gpx a=1/>", "“1”", "quote"),
            ("<gpx><!-- open</gpx>", "a comment that does not end", "-->, which ends a comment"),
            ("<gpx>\u{1}</gpx>", "'\\u{1}'", "XML may hold"),
        ] {
            let error = Document::parse_with_options(text, ParsingOptions::default()).expect_err(text);
            let (is, may) = xml_trouble(&error);
            assert!(is.contains(found) && may.contains(allowed), "{text}: found {is}; allowed {may} ({error})");
        }
    }
}
