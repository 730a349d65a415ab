// Gives the tests an IndexedDB.
import 'fake-indexeddb/auto';
