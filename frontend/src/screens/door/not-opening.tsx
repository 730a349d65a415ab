import { Notice } from '../../parts/notice.tsx';
import { Page } from '../../parts/page.tsx';

export function NotOpening({ problem }: { problem: string }) {
  return (
    <Page title="The book does not open">
      <Notice kind="refused">
        <p>{problem}</p>
      </Notice>
    </Page>
  );
}
