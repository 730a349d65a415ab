import { describe, expect, it } from 'vitest';
import { match } from './route.ts';

describe('an address', () => {
  it('is matched part by part', () => {
    expect(match('/', '/')).toEqual({});
    expect(match('/cage/:cage', '/cage/7')).toEqual({ cage: '7' });
    expect(match('/cage/:cage', '/cage/a%203')).toEqual({ cage: 'a 3' });
    expect(match('/cages', '/cages/')).toEqual({});
  });
  it('is another page when a part is more, less or other', () => {
    expect(match('/cage/:cage', '/cage')).toBeNull();
    expect(match('/cage/:cage', '/cage/')).toBeNull();
    expect(match('/cage/:cage', '/cage/7/8')).toBeNull();
    expect(match('/', '/cages')).toBeNull();
  });
});
