//! Several PDFs bound into one to be printed on both sides: each begins on a right-hand page, its pages as
//! they are, with the tags for those who listen to a document.
//!
//! It takes over what this program has written, and judges none of it.

use lopdf::{Dictionary, Document, Object, ObjectId, dictionary};

/// A4, in points.
const A4: (f32, f32) = (595.276, 841.89);

/// PDFs that were bound.
#[derive(Debug)]
pub struct Bound {
    /// The whole.
    pub pdf: Vec<u8>,
    /// The page on which each begins, from 1; always odd.
    pub begins: Vec<usize>,
    /// How many pages.
    pub pages: usize,
}

/// How many pages a PDF has; `None` if it cannot be read.
pub fn pages_of(file: &[u8]) -> Option<usize> {
    let count = Document::load_mem(file).ok()?.get_pages().len();
    (count > 0).then_some(count)
}

/// Binds PDFs in their order.
///
/// # Errors
/// The position of one that cannot be read; `None` if the whole cannot be written.
pub fn bind(files: &[Vec<u8>]) -> Result<Bound, Option<usize>> {
    let mut binding = Binding::new();
    let mut begins = Vec::new();
    for (at, file) in files.iter().enumerate() {
        if binding.pages.len() % 2 == 1 {
            binding.add_empty_page();
        }
        begins.push(binding.pages.len() + 1);
        binding.add(file).ok_or(Some(at))?;
    }
    let pages = binding.pages.len();
    let pdf = binding.finish().ok_or(None)?;
    Ok(Bound { pdf, begins, pages })
}

/// What is being bound.
struct Binding {
    document: Document,
    /// The node above all pages.
    tree: ObjectId,
    pages: Vec<Object>,
    /// The node above all tags.
    tags: ObjectId,
    /// The tag of the whole.
    whole: ObjectId,
    tagged: Tags,
    language: Option<Object>,
}

/// The tags of all PDFs together.
#[derive(Default)]
struct Tags {
    /// The topmost tag of each.
    roots: Vec<Object>,
    /// Of each page and link, by its number, the tags that it belongs to.
    parents: Vec<(i64, Object)>,
    /// The first number that is free.
    next: i64,
    /// Tags that have a name, by it.
    named: Vec<(Vec<u8>, Object)>,
    /// What tags of our own stand for.
    roles: Dictionary,
}

impl Binding {
    fn new() -> Binding {
        let mut document = Document::with_version("1.7");
        let [tree, tags, whole] = [(); 3].map(|()| document.new_object_id());
        Binding { document, tree, pages: Vec::new(), tags, whole, tagged: Tags::default(), language: None }
    }

    fn add_empty_page(&mut self) {
        let page = self.document.add_object(dictionary! {
            "Type" => "Page",
            "Parent" => self.tree,
            "MediaBox" => vec![0.into(), 0.into(), A4.0.into(), A4.1.into()],
            "Resources" => Dictionary::new(),
        });
        self.pages.push(page.into());
    }

    fn add(&mut self, file: &[u8]) -> Option<()> {
        let mut pdf = Document::load_mem(file).ok()?;
        pdf.renumber_objects_with(self.document.max_id + 1);
        let pages: Vec<ObjectId> = pdf.get_pages().into_values().collect();
        if pages.is_empty() {
            return None;
        }
        let catalog = pdf.catalog().ok()?;
        if self.language.is_none() {
            self.language = catalog.get(b"Lang").ok().cloned();
        }
        if let Ok(root) = catalog.get(b"StructTreeRoot").and_then(Object::as_reference) {
            self.add_tags(&mut pdf, root)?;
        }
        for page in pages {
            pdf.get_dictionary_mut(page).ok()?.set("Parent", self.tree);
            self.pages.push(page.into());
        }
        self.document.max_id = pdf.max_id;
        self.document.objects.append(&mut pdf.objects);
        Some(())
    }

    /// Takes over the tags of a PDF: under one root, with numbers and names that no other one has.
    fn add_tags(&mut self, pdf: &mut Document, root: ObjectId) -> Option<()> {
        let offset = self.tagged.next;
        let mark = format!("{}-", self.pages.len());
        for object in pdf.objects.values_mut() {
            each_dictionary(object, &mut |dictionary| renamed(dictionary, offset, &mark));
        }
        let root = pdf.get_dictionary(root).ok()?.clone();
        for (key, value) in entries(pdf, root.get(b"ParentTree").ok(), b"Nums") {
            let key = key.as_i64().ok()? + offset;
            self.tagged.next = self.tagged.next.max(key + 1);
            self.tagged.parents.push((key, value));
        }
        for (key, value) in entries(pdf, root.get(b"IDTree").ok(), b"Names") {
            let name = [mark.as_bytes(), key.as_str().ok()?].concat();
            self.tagged.named.push((name, value));
        }
        if let Some(roles) = root.get_deref(b"RoleMap", pdf).ok().and_then(|roles| roles.as_dict().ok()) {
            self.tagged.roles.extend(roles);
        }
        let children = match root.get(b"K").ok()? {
            Object::Array(children) => children.clone(),
            one => vec![one.clone()],
        };
        for child in children {
            let tag = child.as_reference().ok()?;
            let tag = pdf.get_dictionary_mut(tag).ok()?;
            tag.set("P", self.whole);
            // Each was a document; together they are parts of one.
            tag.set("S", "Part");
            self.tagged.roots.push(child);
        }
        Some(())
    }

    fn finish(mut self) -> Option<Vec<u8>> {
        let Tags { roots, mut parents, next, mut named, roles } = self.tagged;
        parents.sort_by_key(|(key, _)| *key);
        named.sort_by(|(one, _), (other, _)| one.cmp(other));
        let numbers = parents.into_iter().flat_map(|(key, value)| [key.into(), value]);
        let names = named.into_iter().flat_map(|(key, value)| [Object::string_literal(key), value]);
        let is_tagged = !roots.is_empty();
        let tags = dictionary! {
            "Type" => "StructTreeRoot",
            "K" => vec![self.whole.into()],
            "ParentTree" => dictionary! { "Nums" => numbers.collect::<Vec<Object>>() },
            "ParentTreeNextKey" => next,
            "IDTree" => dictionary! { "Names" => names.collect::<Vec<Object>>() },
            "RoleMap" => roles,
        };
        let count = i64::try_from(self.pages.len()).ok()?;
        let tree = dictionary! { "Type" => "Pages", "Kids" => self.pages, "Count" => count };
        self.document.objects.insert(self.tree, tree.into());
        let mut catalog = dictionary! { "Type" => "Catalog", "Pages" => self.tree };
        if let Some(language) = self.language {
            catalog.set("Lang", language);
        }
        if is_tagged {
            let whole =
                dictionary! { "Type" => "StructElem", "S" => "Document", "P" => self.tags, "K" => roots };
            self.document.objects.insert(self.whole, whole.into());
            self.document.objects.insert(self.tags, tags.into());
            catalog.set("StructTreeRoot", self.tags);
            catalog.set("MarkInfo", dictionary! { "Marked" => true });
        }
        let catalog = self.document.add_object(catalog);
        self.document.trailer.set("Root", catalog);
        // What only the single files need: their catalogues, page trees, metadata.
        self.document.prune_objects();
        let mut out = Vec::new();
        self.document.save_to(&mut out).ok()?;
        Some(out)
    }
}

/// Numbers and names of one PDF are moved on, so that no other one has them.
fn renamed(dictionary: &mut Dictionary, offset: i64, mark: &str) {
    for key in [&b"StructParents"[..], b"StructParent"] {
        if let Some(number) = dictionary.get(key).ok().and_then(|number| number.as_i64().ok()) {
            dictionary.set(key, number + offset);
        }
    }
    let with_mark = |name: &[u8]| Object::string_literal([mark.as_bytes(), name].concat());
    if dictionary.has_type(b"StructElem")
        && let Ok(name) = dictionary.get(b"ID").and_then(Object::as_str)
    {
        let name = with_mark(name);
        dictionary.set("ID", name);
    }
    if let Ok(headers) = dictionary.get(b"Headers").and_then(Object::as_array) {
        let headers: Vec<Object> = headers.iter().flat_map(Object::as_str).map(with_mark).collect();
        dictionary.set("Headers", headers);
    }
}

/// Every dictionary in an object, the object itself among them.
fn each_dictionary(object: &mut Object, change: &mut impl FnMut(&mut Dictionary)) {
    let dictionary = match object {
        Object::Array(items) => return items.iter_mut().for_each(|item| each_dictionary(item, change)),
        Object::Dictionary(dictionary) => dictionary,
        Object::Stream(stream) => &mut stream.dict,
        _ => return,
    };
    change(dictionary);
    dictionary.iter_mut().for_each(|(_, value)| each_dictionary(value, change));
}

/// The entries of a tree of numbers or names, with those of its branches.
fn entries(pdf: &Document, tree: Option<&Object>, key: &[u8]) -> Vec<(Object, Object)> {
    let Some(Ok((_, Object::Dictionary(node)))) = tree.map(|tree| pdf.dereference(tree)) else {
        return Vec::new();
    };
    let list = |key| node.get_deref(key, pdf).and_then(Object::as_array).map_or(&[][..], Vec::as_slice);
    let own = list(key).chunks_exact(2).map(|pair| (pair[0].clone(), pair[1].clone()));
    let below = list(b"Kids").iter().flat_map(|kid| entries(pdf, Some(kid), key));
    own.chain(below).collect()
}
