import { wrongWith } from '../field.ts';

/*
 * What is wrong in a form, said at the field: the browser's own bubble is in its language, not the page's, tells one
 * thing at a time and is gone after some seconds. A form that asks here is `novalidate`.
 */

let said = 0;

/** Says at each field below `root` what is wrong with it, and takes the first into sight; true where nothing is. */
export function sound(root: ParentNode): boolean {
  const wrong = fieldsIn(root).filter((field) => !tellAt(field));
  wrong[0]?.scrollIntoView({ block: 'center' });
  wrong[0]?.focus({ preventScroll: true });
  return wrong.length === 0;
}

/** Looks again at the fields below `root` that were wrong: what was at fault may have gone, or be in another field. */
export function lookAgain(root: ParentNode): void {
  for (const field of fieldsIn(root)) if (field.ariaInvalid === 'true') tellAt(field);
}

/** Says what is wrong with this field until it is not any more; true where nothing is. */
export function tellAt(field: HTMLInputElement): boolean {
  const text = wrongWith(field);
  const id = field.getAttribute('aria-describedby');
  const before = id === null ? null : (field.getRootNode() as ParentNode).querySelector(`#${id}`);
  if (text === '') {
    before?.remove();
    field.removeAttribute('aria-describedby');
    field.removeAttribute('aria-invalid');
    field.removeEventListener('input', later);
    field.removeEventListener('change', later);
    return true;
  }
  if (before) before.textContent = text;
  else field.closest('label')?.append(wordsFor(field, text));
  return false;
}

function wordsFor(field: HTMLInputElement, text: string): HTMLElement {
  const words = document.createElement('span');
  said += 1;
  words.id = `wrong-${said}`;
  words.className = 'wrong';
  words.textContent = text;
  // it describes the field, and is no part of the name that the label gives
  words.ariaHidden = 'true';
  field.setAttribute('aria-describedby', words.id);
  field.ariaInvalid = 'true';
  field.addEventListener('input', later);
  field.addEventListener('change', later);
  return words;
}

/** Once the element has drawn what the input changes: `data-wrong` is its to draw. */
function later(event: Event): void {
  const field = event.currentTarget as HTMLInputElement;
  requestAnimationFrame(() => tellAt(field));
}

/** In the order of the page, through every shadow. */
function fieldsIn(root: ParentNode): HTMLInputElement[] {
  return [...root.querySelectorAll('*')].flatMap((one) =>
    one instanceof HTMLInputElement ? [one] : one.shadowRoot ? fieldsIn(one.shadowRoot) : [],
  );
}
