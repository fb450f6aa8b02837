#include "page/class_sheet.h"

namespace tapersight {

// Makes the headings of the table into buttons that sort it: by the first column as it was, by size, by
// standing; pressed again, the other way round.
std::string class_sheet_script() {
  return R"js(
'use strict';
(function () {
  const table = document.getElementById('benches');
  const body = table.tBodies[0];
  const heads = Array.from(table.tHead.rows[0].cells);
  const key = (row, column) => {
    const text = row.cells[column].getAttribute('data-key');
    return text === null ? Infinity : Number(text);
  };
  const sort = (column, way) => {
    const rows = Array.from(body.rows);
    rows.sort((a, b) => {
      const x = key(a, column), y = key(b, column);
      return x === y ? key(a, 0) - key(b, 0) : x < y ? -way : way;
    });
    rows.forEach((row) => body.appendChild(row));
    heads.forEach((head, i) => {
      if (i === column) head.setAttribute('aria-sort', way > 0 ? 'ascending' : 'descending');
      else head.removeAttribute('aria-sort');
    });
  };
  heads.forEach((head, column) => {
    const button = document.createElement('button');
    button.type = 'button';
    button.textContent = head.textContent;
    head.textContent = '';
    head.appendChild(button);
    button.addEventListener('click', () => {
      const now = head.getAttribute('aria-sort');
      const first = column === 0 ? 1 : -1;
      sort(column, now === null ? first : now === 'ascending' ? -1 : 1);
    });
  });
  heads[0].setAttribute('aria-sort', 'ascending');
})();
)js";
}

// Of the bytes above; tests/page/class_sheet_test.cpp holds the two together.
std::string class_sheet_script_hash() {
  return "Rs74MYyBtXkgmVrbk/pR0pKM9qK7NK35KCFmpdbsRcA=";
}

}  // namespace tapersight
