/* Words from the family's files as a page shows them; the names in the files stay as they are. */
/* exported drawnWords, cutWords */
/* Each run of letters from right to left by itself, no marks that turn our sentences around, no half letter. */
function drawnWords(words) {
  "use strict";
  const letters = "\\u0590-\\u061b\\u061d-\\u08ff\\ufb1d-\\ufdff\\ufe70-\\ufefc\\u{10800}-\\u{10fff}\\u{1e800}-\\u{1efff}";
  return String(words)
    .replace(/\p{Surrogate}/gu, "\ufffd")
    .replace(/[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]/g, "")
    .replace(new RegExp("[" + letters + "](?:[" + letters + "\\s!-;?@]*[" + letters + "])?", "gu"), "\u2068$&\u2069");
}
/* At most so many letters; an emoji is two halves to a script, and half of one is no letter. */
function cutWords(words, most) {
  "use strict";
  const letters = Array.from(words);
  return letters.length > most ? letters.slice(0, most - 1).join("") + "…" : words;
}
