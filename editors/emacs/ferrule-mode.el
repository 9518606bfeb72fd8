;;; ferrule-mode.el --- designs of small DC power systems  -*- lexical-binding: t -*-

;;; Commentary:
;; A major mode for .fer files, and an entry for eglot:  M-x eglot  starts `ferrule serve'.

;;; Code:

(require 'ferrule-words)

(defgroup ferrule nil
  "Designs of small DC power systems."
  :group 'languages)

(defcustom ferrule-path "ferrule"
  "The program."
  :type 'string
  :risky t)

(defvar ferrule-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?\" "\"" table)
    (modify-syntax-entry ?- "_" table)
    (modify-syntax-entry ?_ "_" table)
    (modify-syntax-entry ?. "." table)
    table)
  "Syntax of designs.")

(defvar ferrule-font-lock-keywords
  (let ((start "\\(?:^\\|[{;]\\)[ \t]*"))
    (list
     (list (concat start (regexp-opt ferrule-keywords t) "\\_>") 1 'font-lock-keyword-face)
     (list (concat start (regexp-opt ferrule-properties t) "\\_>") 1 'font-lock-variable-name-face)
     (list (concat "\\_<is[ \t]+" (regexp-opt ferrule-kinds t) "\\_>") 1 'font-lock-type-face)
     '("[]_[:alnum:]]\\(\\.[[:alpha:]_+-][[:alnum:]_+/-]*\\)" 1 font-lock-function-name-face)
     (list (concat "\\_<" (regexp-opt ferrule-joining-words t) "\\_>") 1 'font-lock-builtin-face)
     (list (concat "\\_<" (regexp-opt ferrule-values t) "\\_>") 1 'font-lock-constant-face)))
  "What is coloured how.")

(defun ferrule-indent-line ()
  "Four columns for every brace that is open."
  (let* ((depth (save-excursion
                  (back-to-indentation)
                  (- (car (syntax-ppss)) (if (eq (char-after) ?}) 1 0))))
         (column (* 4 (max 0 depth))))
    (if (<= (current-column) (current-indentation))
        (indent-line-to column)
      (save-excursion (indent-line-to column)))))

;;;###autoload
(define-derived-mode ferrule-mode prog-mode "ferrule"
  "Major mode for designs of small DC power systems."
  (setq-local comment-start "# ")
  (setq-local comment-start-skip "#+[ \t]*")
  (setq-local font-lock-defaults '(ferrule-font-lock-keywords))
  (setq-local indent-line-function #'ferrule-indent-line)
  (setq-local indent-tabs-mode nil)
  (setq-local tab-width 4))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.fer\\'" . ferrule-mode))

(defvar eglot-server-programs)
(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs
               (cons 'ferrule-mode (lambda (&rest _) (list ferrule-path "serve")))))

(provide 'ferrule-mode)
;;; ferrule-mode.el ends here
