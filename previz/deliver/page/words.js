// All words of the page stand in one table, by key.

const WORDS = read("words");
const SHOWING = read("showing");

function say(key, given = {}) {
  return WORDS[key].replace(/\{(\w+)\}/g, (_, name) => given[name]);
}
