import type { Book } from './book.ts';

/** Looks at the bus: its own broker or another's, not both. */
export function checkBus(book: Book): void {
  if (!book.wrote(['bus', 'listen']) || !book.wrote(['bus', 'url'])) return;
  const say =
    '`listen` is for the embedded broker and `url` for one elsewhere: the yard has one bus. Take one of them out.';
  book.fail(
    ['bus', 'url'],
    { say, wanted: 'either `listen` or `url`', example: 'listen: 0.0.0.0:1883' },
    'key',
  );
}
